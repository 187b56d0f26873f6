/** The engines, and one of them: what it was called and when, what it carried, what happened to it. */
import { useQuery } from "@tanstack/react-query";
import { useState } from "react";
import { engineAsked, enginesAsked } from "../../api/ask";
import type { EnginePage, EngineSummary } from "../../api/views";
import { figure } from "../../core/days";
import { Asked } from "../../parts/Asked";
import { RulesKey, Sure } from "../../parts/Degree";
import { Choice, TakeAway } from "../../parts/takeaway/TakeAway";
import { EventList } from "../../parts/EventList";
import { Link } from "../../shell/router";
import { useTitle } from "../../shell/useTitle";

export default function EnginesDesk({ engine }: { engine: string | null }) {
  return engine === null ? <List /> : <One engine={engine} />;
}

function List() {
  useTitle("Engines");
  const engines = useQuery(enginesAsked());
  return (
    <>
      <div className="title">
        <h1>Engines</h1>
      </div>
      <Asked of={engines} what="the engines">
        {(data) =>
          data.length === 0 ? (
            <p>No engine is in the tables yet. Take in an evidence package that has them.</p>
          ) : (
            <>
              <AClass engines={data} />
              <Table engines={data} />
            </>
          )
        }
      </Asked>
    </>
  );
}

/** A class of engines to be taken away as a book. */
function AClass({ engines }: { engines: readonly EngineSummary[] }) {
  const classes = [...new Set(engines.map((engine) => engine.class_).filter((name) => name !== ""))].sort();
  const [chosen, setChosen] = useState(classes[0] ?? "");
  if (classes.length === 0) return null;
  return (
    <>
      <p className="row">
        <Choice label="The engines of class" value={chosen} of={Object.fromEntries(classes.map((name) => [name, name]))} choose={setChosen} />
      </p>
      <TakeAway key={chosen} of={{ class: chosen }} what={`class ${chosen}, as a book,`} />
    </>
  );
}

function Table({ engines }: { engines: readonly EngineSummary[] }) {
  return (
    <div className="scrolls" role="region" aria-label="Engines" tabIndex={0}>
      <table>
        <thead>
          <tr>
            <th scope="col">Engine</th>
            <th scope="col">Class</th>
            <th scope="col">Built</th>
            <th scope="col">Withdrawn</th>
            <th scope="col" className="figure">
              Fitments known
            </th>
          </tr>
        </thead>
        <tbody>
          {engines.map((engine) => (
            <tr key={engine.engine_id}>
              <th scope="row">
                <Link to={{ desk: "engines", engine: engine.engine_id }}>{engine.label}</Link>
              </th>
              <td>{engine.class_}</td>
              <td>{engine.built}</td>
              <td>{engine.withdrawn}</td>
              <td className="figure">{engine.carried}</td>
            </tr>
          ))}
        </tbody>
      </table>
    </div>
  );
}

function One({ engine }: { engine: string }) {
  const page = useQuery(engineAsked(engine));
  return (
    <Asked of={page} what="the engine">
      {(data) => <Engine page={data} />}
    </Asked>
  );
}

function Engine({ page }: { page: EnginePage }) {
  useTitle(page.engine.label);
  const { engine } = page;
  const facts = [
    engine.class_ && `class ${engine.class_}`,
    engine.built && `built ${engine.built}`,
    engine.works && `at ${engine.works}`,
    engine.withdrawn && `withdrawn ${engine.withdrawn}`,
  ].filter(Boolean);
  return (
    <>
      <div className="title">
        <h1>{engine.label}</h1>
        <span className="soft">{facts.join(", ")}</span>
        <Link to={{ desk: "tables", table: "engines", key: engine.engine_id }}>Mend its row in the tables</Link>
      </div>
      <TakeAway of={{ engine: engine.engine_id }} what="the history of this engine" />
      {engine.note !== "" && <p>{engine.note}</p>}
      <section className="part" aria-labelledby="called">
        <h2 id="called">What it was called</h2>
        {engine.designations.length === 0 ? (
          <p>The tables give it no number or name.</p>
        ) : (
          <ul className="plain">
            {engine.designations.map((one) => (
              <li key={`${one.scheme} ${one.value} ${one.from_}`}>
                {one.scheme === "class" && "class "}
                {one.text}
              </li>
            ))}
          </ul>
        )}
      </section>
      <section className="part" aria-labelledby="carried">
        <h2 id="carried">What it carried</h2>
        {page.carried.length === 0 ? <p>No line that has been read puts a component on it.</p> : <Carried page={page} />}
      </section>
      {page.findings.length > 0 && (
        <section className="part" aria-labelledby="engine-findings">
          <h2 id="engine-findings">Findings about it</h2>
          <ul className="plain questions">
            {page.findings.map((finding) => (
              <li key={finding.id}>
                <Link to={{ desk: "findings", finding: finding.id }}>{finding.message}</Link>
                {finding.state === "settled" && <span className="soft"> (settled)</span>}
              </li>
            ))}
          </ul>
        </section>
      )}
      {page.events.length > 0 && (
        <section className="part" aria-labelledby="engine-events">
          <h2 id="engine-events">Events</h2>
          <EventList events={page.events} />
        </section>
      )}
    </>
  );
}

function Carried({ page }: { page: EnginePage }) {
  return (
    <>
      <div className="scrolls" role="region" aria-labelledby="carried" tabIndex={0}>
        <table>
          <thead>
            <tr>
              <th scope="col">Component</th>
              <th scope="col">Kind</th>
              <th scope="col">Fitted</th>
              <th scope="col">Removed</th>
              <th scope="col" className="figure">
                Miles
              </th>
              <th scope="col">How sure</th>
            </tr>
          </thead>
          <tbody>
            {page.carried.map((one, nth) => (
              <tr key={nth}>
                <th scope="row">
                  <Link to={{ desk: "component", component: one.component.component_id }}>{one.component.label}</Link>
                </th>
                <td>{one.kind}</td>
                <td>{one.fitted?.text ?? "not known"}</td>
                <td>{one.removed?.text ?? "not known"}</td>
                <td className="figure">
                  {one.miles?.value == null ? <span className="soft">no figure</span> : figure(one.miles.value)}
                </td>
                <td>
                  <Sure degree={one.degree}>{one.degree}</Sure>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      <RulesKey />
    </>
  );
}
