/** The history of one component: its thread, its fitments with their footnotes, what is open, and who says so. */
import { useQuery } from "@tanstack/react-query";
import { useMemo, useState } from "react";
import { componentAsked } from "../../api/ask";
import type { ComponentPage } from "../../api/views";
import { figure } from "../../core/days";
import { Asked } from "../../parts/Asked";
import { DecisionList } from "../../parts/DecisionList";
import { RulesKey } from "../../parts/Degree";
import { EventList } from "../../parts/EventList";
import { TakeAway } from "../../parts/takeaway/TakeAway";
import { Timeline } from "../../parts/Timeline";
import { Link } from "../../shell/router";
import { Fitments } from "./Fitments";
import { Leads } from "./Leads";
import { Notes } from "./Notes";
import { lifeInWords, spansOf, stayOf } from "./stays";
import { useTitle } from "../../shell/useTitle";
import "./component.css";

export default function ComponentDesk({ component }: { component: string }) {
  const page = useQuery(componentAsked(component));
  return (
    <Asked of={page} what="the history">
      {(data) => <History key={data.component_id} page={data} />}
    </Asked>
  );
}

function History({ page }: { page: ComponentPage }) {
  useTitle(page.label);
  const [chosen, setChosen] = useState<number | null>(null);
  const stays = useMemo(() => page.fitments.map(stayOf), [page.fitments]);
  const open = page.findings.filter((finding) => finding.state === "open");
  const settled = page.findings.length - open.length;
  return (
    <>
      <div className="title">
        <h1>{page.label}</h1>
        <Particulars page={page} />
      </div>
      <TakeAway of={{ component: page.component_id }} what="the history" />
      <p className="in-a-book">{lifeInWords(page)}</p>
      <Timeline
        stays={stays}
        gaps={spansOf(page, "gap")}
        overlaps={spansOf(page, "overlap")}
        says={`The life of ${page.label} drawn from left to right, one engine a lane. ${lifeInWords(page)} The table of fitments has every part of it.`}
        chosen={chosen}
        choose={(nth) => {
          setChosen(nth);
          document.getElementById(`fitment-${nth}`)?.scrollIntoView({ block: "nearest" });
        }}
      />
      <section className="part" aria-labelledby="fitments">
        <h2 id="fitments">Fitments</h2>
        <Fitments page={page} chosen={chosen} choose={setChosen} />
        <Total page={page} />
        <RulesKey />
      </section>
      <section className="part" aria-labelledby="open">
        <h2 id="open">Open questions</h2>
        {open.length === 0 ? <p>Nothing in the evidence is left open.</p> : <Questions findings={open} />}
        {settled > 0 && <p className="soft">{settled === 1 ? "One finding has" : `${settled} findings have`} been settled by a decision.</p>}
      </section>
      <Leads component={page.component_id} />
      {page.events.length > 0 && (
        <section className="part" aria-labelledby="events">
          <h2 id="events">Events of the engines, for context</h2>
          <EventList events={page.events} />
        </section>
      )}
      <section className="part" aria-labelledby="notes">
        <h2 id="notes">Footnotes</h2>
        <Notes page={page} />
      </section>
      {page.decisions.length > 0 && (
        <section className="part" aria-labelledby="decisions">
          <h2 id="decisions">Decisions that this history follows</h2>
          <DecisionList decisions={page.decisions} />
        </section>
      )}
      {page.caution !== "" && <p className="caution">{page.caution}</p>}
    </>
  );
}

function Particulars({ page }: { page: ComponentPage }) {
  const parts = [
    page.type && `type ${page.type}`,
    page.built && `built ${page.built}`,
    page.condemned && `condemned ${page.condemned}`,
  ].filter(Boolean);
  return <span className="soft">{parts.join(", ")}</span>;
}

function Total({ page }: { page: ComponentPage }) {
  const { supported, low, high, level } = page.miles;
  if (low === null || high === null || (low === supported && high === supported)) return null;
  return (
    <p className="small">
      Estimates are never added to cited figures. With stays that have no figure and with gaps counted in, its true miles lie between{" "}
      {figure(low)} and {figure(high)} with a likelihood of {Math.round(level * 100)} in 100.
    </p>
  );
}

function Questions({ findings }: { findings: ComponentPage["findings"] }) {
  return (
    <ul className="plain questions">
      {findings.map((finding) => (
        <li key={finding.id}>
          <Link to={{ desk: "findings", finding: finding.id }}>{finding.message}</Link>
        </li>
      ))}
    </ul>
  );
}
