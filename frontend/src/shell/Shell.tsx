/** The running head over every desk; each desk is fetched when it is first asked for. */
import { lazy, Suspense, useEffect, useRef, useState } from "react";
import type { Place } from "../core/route";
import { Link, usePlace } from "./router";
import { setLight, useLight, useWho, type Light } from "./settings";
import { WhoIsWorking } from "./WhoIsWorking";

const CardDesk = lazy(() => import("../desks/card/CardDesk"));
const ComponentDesk = lazy(() => import("../desks/component/ComponentDesk"));
const EnginesDesk = lazy(() => import("../desks/engines/EnginesDesk"));
const FindingsDesk = lazy(() => import("../desks/findings/FindingsDesk"));
const LogDesk = lazy(() => import("../desks/log/LogDesk"));
const Overview = lazy(() => import("../desks/overview/Overview"));
const SourcesDesk = lazy(() => import("../desks/sources/SourcesDesk"));
const TablesDesk = lazy(() => import("../desks/tables/TablesDesk"));

const WAYS: readonly { to: Place; says: string; desks: readonly Place["desk"][] }[] = [
  { to: { desk: "overview" }, says: "Archive", desks: ["overview", "component"] },
  { to: { desk: "findings", finding: null }, says: "Findings", desks: ["findings"] },
  { to: { desk: "sources", source: null }, says: "Sources", desks: ["sources", "card"] },
  { to: { desk: "engines", engine: null }, says: "Engines", desks: ["engines"] },
  { to: { desk: "tables", table: "engines", key: null }, says: "Tables", desks: ["tables"] },
  { to: { desk: "log" }, says: "Decisions", desks: ["log"] },
];

export function Shell() {
  const who = useWho();
  const place = usePlace();
  const [renaming, setRenaming] = useState(false);
  if (who === "" || renaming)
    return <WhoIsWorking now={who} {...(who === "" ? {} : { done: () => setRenaming(false) })} />;
  return (
    <>
      <a className="skip" href="#desk">
        Go to the desk
      </a>
      <Head place={place} who={who} rename={() => setRenaming(true)} />
      <Desk place={place} />
    </>
  );
}

function Head({ place, who, rename }: { place: Place; who: string; rename: () => void }) {
  const light = useLight();
  return (
    <header className="head">
      <Link className="name" to={{ desk: "overview" }}>
        Numbertaker
      </Link>
      <nav aria-label="Desks">
        <ul className="plain">
          {WAYS.map(({ to, says, desks }) => (
            <li key={says}>
              <Link to={to} aria-current={desks.includes(place.desk) ? "page" : undefined}>
                {says}
              </Link>
            </li>
          ))}
        </ul>
      </nav>
      <div className="who">
        <span>{who} is working</span>
        <button className="quiet" onClick={rename}>
          Change
        </button>
        <label>
          Light{" "}
          <select value={light} onChange={(event) => setLight(event.target.value as Light)}>
            <option>as the machine</option>
            <option>day</option>
            <option>night</option>
          </select>
        </label>
      </div>
    </header>
  );
}

function Desk({ place }: { place: Place }) {
  const main = useRef<HTMLElement>(null);
  const first = useRef(true);
  const key = deskKey(place);
  useEffect(() => {
    // A new desk takes the keyboard with it, as a new page would.
    if (!first.current) main.current?.focus({ preventScroll: true });
    first.current = false;
    window.scrollTo(0, 0);
  }, [key]);
  return (
    <main className="desk" id="desk" tabIndex={-1} ref={main}>
      <Suspense fallback={<p role="status">Laying out the desk…</p>}>{deskOf(place)}</Suspense>
    </main>
  );
}

function deskKey(place: Place): string {
  return Object.values(place)
    .filter((_, nth) => nth < 2)
    .join("/");
}

function deskOf(place: Place) {
  switch (place.desk) {
    case "overview":
      return <Overview />;
    case "findings":
      return <FindingsDesk finding={place.finding} />;
    case "component":
      return <ComponentDesk component={place.component} />;
    case "card":
      return <CardDesk card={place.card} line={place.line} field={place.field} />;
    case "sources":
      return <SourcesDesk source={place.source} />;
    case "engines":
      return <EnginesDesk engine={place.engine} />;
    case "tables":
      return <TablesDesk table={place.table} row={place.key} />;
    case "log":
      return <LogDesk />;
    case "nowhere":
      return (
        <>
          <h1>Nothing is kept under this address</h1>
          <p>
            <Link to={{ desk: "overview" }}>Go to the archive</Link>
          </p>
        </>
      );
  }
}
