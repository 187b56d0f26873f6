/** Where one can be in the program, and the address of each place. */

export type Place =
  | { desk: "overview" }
  | { desk: "findings"; finding: string | null }
  | { desk: "component"; component: string }
  | { desk: "card"; card: string; line: string | null; field: string | null }
  | { desk: "sources"; source: string | null }
  | { desk: "engines"; engine: string | null }
  | { desk: "tables"; table: string; key: string | null }
  | { desk: "log" }
  | { desk: "nowhere"; path: string };

/** The address of a place; `placeOf` reads it back. */
export function addressOf(place: Place): string {
  switch (place.desk) {
    case "overview":
      return "/";
    case "findings":
      return place.finding === null ? "/findings" : `/findings/${encodeURIComponent(place.finding)}`;
    case "component":
      return `/components/${encodeURIComponent(place.component)}`;
    case "card":
      return `/cards/${encodeURIComponent(place.card)}${query({ line: place.line, field: place.field })}`;
    case "sources":
      return place.source === null ? "/sources" : `/sources/${encodeURIComponent(place.source)}`;
    case "engines":
      return place.engine === null ? "/engines" : `/engines/${encodeURIComponent(place.engine)}`;
    case "tables":
      return `/tables/${encodeURIComponent(place.table)}${query({ key: place.key })}`;
    case "log":
      return "/log";
    case "nowhere":
      return place.path;
  }
}

/** The place that an address names; an address that names none is `nowhere`. */
export function placeOf(address: string): Place {
  const url = new URL(address, "http://localhost");
  const [desk = "", one = null] = url.pathname.split("/").filter(Boolean).map(decoded);
  const asked = (name: string): string | null => url.searchParams.get(name);
  if (desk === "") return { desk: "overview" };
  if (desk === "findings") return { desk, finding: one };
  if (desk === "components" && one !== null) return { desk: "component", component: one };
  if (desk === "cards" && one !== null) return { desk: "card", card: one, line: asked("line"), field: asked("field") };
  if (desk === "sources") return { desk, source: one };
  if (desk === "engines") return { desk, engine: one };
  if (desk === "tables") return { desk, table: one ?? "engines", key: asked("key") };
  if (desk === "log") return { desk };
  return { desk: "nowhere", path: url.pathname };
}

function query(parts: Record<string, string | null>): string {
  const asked = new URLSearchParams();
  for (const [name, value] of Object.entries(parts)) if (value !== null) asked.set(name, value);
  const text = asked.toString();
  return text === "" ? "" : `?${text}`;
}

function decoded(part: string): string {
  try {
    return decodeURIComponent(part);
  } catch {
    return part;
  }
}
