/** What is in the archive, what it says of each component, and what wants doing next. */
import { useQuery } from "@tanstack/react-query";
import { overviewAsked } from "../../api/ask";
import type { Overview } from "../../api/views";
import { counted, sentence } from "../../core/days";
import { Asked } from "../../parts/Asked";
import { TakeAway } from "../../parts/takeaway/TakeAway";
import { Link } from "../../shell/router";
import { Components } from "./Components";
import { ForKeeping } from "./ForKeeping";
import { Learnt } from "./Learnt";
import { ReadCards } from "./ReadCards";
import { Sources } from "./Sources";
import { TakeIn } from "./TakeIn";
import { useTitle } from "../../shell/useTitle";
import "./overview.css";

export default function OverviewDesk() {
  const overview = useQuery(overviewAsked());
  return (
    <Asked of={overview} what="the archive">
      {(data) => <Archive overview={data} />}
    </Asked>
  );
}

function Archive({ overview }: { overview: Overview }) {
  useTitle(overview.archive);
  const { counts } = overview;
  const empty = counts.sources === 0;
  return (
    <>
      <div className="title">
        <h1>{empty ? "An empty archive" : "The archive"}</h1>
        {!empty && <span className="soft">‘{overview.archive}’ holds {inWords(overview)}</span>}
      </div>
      {empty && (
        <p className="in-a-book">
          Begin with what you know: take in an evidence package with your sources and tables, below. Then take in the scans
          of your cards, and read them. The histories come of themselves.
        </p>
      )}
      {counts.findings_open > 0 && (
        <p>
          <Link to={{ desk: "findings", finding: null }}>
            {sentence(counted(counts.findings_open, "finding"))} {counts.findings_open === 1 ? "wants" : "want"} a decision
          </Link>
          {counts.findings_settled > 0 && <span className="soft">; {counted(counts.findings_settled, "finding")} settled so far</span>}.
        </p>
      )}
      <ReadCards overview={overview} />
      <div className="overview-desk">
        {overview.components.length > 0 && (
          <section aria-labelledby="components">
            <h2 id="components">Components</h2>
            <TakeAway of={{ everything: true }} what="every history, as a book or a site," />
            <Components components={overview.components} />
          </section>
        )}
        <div>
          {overview.sources.length > 0 && (
            <section aria-labelledby="sources">
              <h2 id="sources">Sources</h2>
              <Sources sources={overview.sources} />
            </section>
          )}
          <TakeIn sources={overview.sources} />
          {counts.lines > 0 && <Learnt learnt={overview.learnt} />}
          {!empty && <ForKeeping />}
        </div>
      </div>
      <p className="small soft foot">Numbertaker {overview.version}</p>
    </>
  );
}

function inWords({ counts }: Overview): string {
  return [
    counted(counts.sources, "source"),
    counted(counts.cards, "card"),
    counted(counts.scans, "scan"),
    counted(counts.lines, "line"),
    counted(counts.engines, "engine"),
    counted(counts.decisions, "decision"),
  ].join(", ");
}
