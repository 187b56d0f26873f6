/** A comparison as its parts, and the one line that the program takes: SENTENCE :: QUANTITY TIMES MEASURE @ SOURCE, PLACE. */

export const MEASURES = {
  miles: ["equator", "meridian", "between", "miles"],
  days: ["days", "years"],
  years: ["years", "days"],
  engines: ["count"],
  fitments: ["count"],
} as const;
export type Quantity = keyof typeof MEASURES;
export type Measure = (typeof MEASURES)[Quantity][number];

export interface Comparison {
  says: string;
  quantity: Quantity;
  times: string;
  measure: Measure;
  /** The number that goes with miles, days, years and a count. */
  number: string;
  /** Degrees north and east of both places, each as '54.10, -2.60'. */
  from: string;
  to: string;
  source: string;
  place: string;
}

export const NEW: Comparison = {
  says: "",
  quantity: "miles",
  times: "",
  measure: "equator",
  number: "",
  from: "",
  to: "",
  source: "",
  place: "",
};

/** Another quantity has measures of its own. */
export function ofQuantity(comparison: Comparison, quantity: Quantity): Comparison {
  const known: readonly Measure[] = MEASURES[quantity];
  return { ...comparison, quantity, measure: known.includes(comparison.measure) ? comparison.measure : known[0]! };
}

/** What is still missing, in words; empty where nothing is. */
export function missingIn(comparison: Comparison): string {
  if (comparison.says.trim() === "") return "Write the sentence as it is to stand in the document.";
  if (comparison.says.includes("::")) return "The sentence can't hold two colons in a row.";
  if (!/^\d+(\.\d+)?$/.test(comparison.times.trim())) return "Say how many times, as a number such as 30 or 2.5.";
  if (comparison.measure === "between") {
    const unclear = [comparison.from, comparison.to].find((place) => place2(place) === null);
    return unclear === undefined ? "" : `Give each place as degrees north and east, such as 54.10, -2.60${unclear.trim() === "" ? "" : `; ‘${unclear}’ is not of that form`}.`;
  }
  if (needsNumber(comparison.measure) && !/^[\d,]*\d(\.\d+)?$/.test(comparison.number.trim())) return "Say of what number, such as 20 or 1,000.";
  return "";
}

export const needsNumber = (measure: Measure) => measure !== "equator" && measure !== "meridian" && measure !== "between";

/** The line of a comparison in which nothing is missing. */
export function lineOf(comparison: Comparison): string {
  const { says, quantity, times, measure, number, from, to, source, place } = comparison;
  const with_ = measure === "between" ? ` ${place2(from)} ${place2(to)}` : needsNumber(measure) ? ` ${number.trim()}` : "";
  const cited = source === "" ? "" : ` @ ${source}${place.trim() === "" ? "" : `, ${place.trim()}`}`;
  return `${says.trim()} :: ${quantity} ${times.trim()} ${measure}${with_}${cited}`;
}

function place2(text: string): string | null {
  const found = /^\s*(-?\d+(?:\.\d+)?)\s*,\s*(-?\d+(?:\.\d+)?)\s*$/.exec(text);
  return found === null ? null : `${found[1]},${found[2]}`;
}
