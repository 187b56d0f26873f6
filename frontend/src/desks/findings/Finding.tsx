/** One finding: what it says, both sides with their slips, and the rulings that can be given. */
import { useQuery } from "@tanstack/react-query";
import { useEffect, useRef } from "react";
import { whatIfAsked } from "../../api/ask";
import type { FindingView } from "../../api/views";
import { momentInWords, sentence, spanInWords } from "../../core/days";
import { degreeOf, hundredths } from "../../core/degrees";
import { Sure } from "../../parts/Degree";
import { LineSlip } from "../../parts/LineSlip";
import { Places } from "../../parts/Places";
import { Side } from "../../parts/Side";
import { TakeBack } from "../../parts/TakeBack";
import { Link } from "../../shell/router";
import { Rule } from "./Rule";

interface FindingProps {
  finding: FindingView;
  previous: string | null;
  next: string | null;
}

export function Finding({ finding, previous, next }: FindingProps) {
  const lines = new Map(finding.lines.map((line) => [line.line_id, line]));
  const claimed = new Set(finding.claims.map((claim) => claim.line_id));
  const others = finding.lines.filter((line) => !claimed.has(line.line_id));
  const outcome = useRef<HTMLDivElement>(null);
  const before = useRef(finding.state);
  useEffect(() => {
    // The button that was pressed is gone, so the keyboard is put on what came of it.
    if (before.current !== finding.state) outcome.current?.focus();
    before.current = finding.state;
  }, [finding.state]);
  return (
    <article className="finding" aria-labelledby="finding">
      <p className="turning-findings">
        {previous && (
          <Link to={{ desk: "findings", finding: previous }} aria-keyshortcuts="Alt+ArrowUp">
            Previous finding
          </Link>
        )}
        {next && (
          <Link to={{ desk: "findings", finding: next }} aria-keyshortcuts="Alt+ArrowDown">
            Next finding
          </Link>
        )}
      </p>
      <h2 id="finding">{finding.message}</h2>
      <p className="soft">
        {sentence(finding.kind.replaceAll("-", " "))}: {finding.kind_says.replace(/\.$/, "")}.{" "}
        {(finding.earliest || finding.latest) && <>{sentence(spanInWords(finding.earliest, finding.latest))}. </>}
        <Sure degree={degreeOf(finding.confidence)}>Real with a likelihood of {hundredths(finding.confidence)}</Sure>.
      </p>
      {finding.components.length > 0 && (
        <p>
          {finding.components.map((one) => (
            <Link key={one.component_id} className="of" to={{ desk: "component", component: one.component_id }}>
              History of {one.label}
            </Link>
          ))}
        </p>
      )}
      <div className="sides">
        {[...claimed].map((id) => (
          <Side key={id} line={lines.get(id)} claims={finding.claims.filter((claim) => claim.line_id === id)} />
        ))}
        {others.map((line) => (
          <LineSlip key={line.line_id} line={line} />
        ))}
      </div>
      <Elsewhere finding={finding.id} />
      <div ref={outcome} tabIndex={-1}>
        {finding.state === "settled" && finding.decision ? <Settled finding={finding} /> : <Rule finding={finding} />}
      </div>
    </article>
  );
}

/** Which other line or card would settle it. */
function Elsewhere({ finding }: { finding: string }) {
  const { data } = useQuery(whatIfAsked(finding));
  if (data === undefined || data.places.length === 0) return null;
  return (
    <section aria-labelledby="elsewhere">
      <h3 id="elsewhere">What may settle it</h3>
      <Places places={data.places} />
    </section>
  );
}

function Settled({ finding }: { finding: FindingView }) {
  const { decision } = finding;
  if (decision === null) return null;
  return (
    <div className="said">
      <p>
        Settled: {decision.says} <span className="soft">‘{decision.reason.replace(/\.$/, "")}’, says {decision.by}, {momentInWords(decision.at)}.</span>
      </p>
      <TakeBack decision={decision.decision_id} what="this ruling" />
    </div>
  );
}
