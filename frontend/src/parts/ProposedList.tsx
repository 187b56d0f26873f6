/** Cells for which another text is likelier: each with its slip and its reason, taken one by one or left. */
import { useDecide } from "../api/decide";
import type { ProposedCell } from "../api/views";
import { columnWord } from "../core/columns";
import { hundredths } from "../core/degrees";
import { boxOf } from "../core/geometry";
import { cellOf } from "../core/proposed";
import { Link } from "../shell/router";
import { Slip } from "./Slip";
import { TakeBack } from "./TakeBack";
import { Trouble } from "./Trouble";
import { Written } from "./Written";

interface ProposedListProps {
  cells: readonly ProposedCell[];
  /** Told of what further cells a text that was taken proposes anew. */
  changed?: (cells: readonly ProposedCell[]) => void;
}

export function ProposedList({ cells, changed }: ProposedListProps) {
  return (
    <ul className="plain proposed-cells">
      {cells.map((one) => (
        <Proposed key={cellOf(one)} one={one} changed={changed} />
      ))}
    </ul>
  );
}

function Proposed({ one, changed }: { one: ProposedCell; changed: ProposedListProps["changed"] }) {
  const decide = useDecide();
  const take = () =>
    decide.mutate(
      { kind: "cell", target: cellOf(one), ruling: one.proposed, reason: `Taken as proposed: ${one.why}.` },
      { onSuccess: (done) => changed?.(done.changed.proposed) },
    );
  return (
    <li>
      {one.scan && <Slip scan={one.scan} box={boxOf(one.box)} shows={`The scan of ${columnWord(one.field).toLowerCase()}, ${one.where}`} pad={8} />}
      <div>
        <p>
          <Link to={{ desk: "card", card: one.card_id, line: one.line_id, field: one.field }}>
            {columnWord(one.field)}, {one.where}
          </Link>
          : read as ‘<Written text={one.text} />’, likelier ‘<Written text={one.proposed} />’ ({hundredths(one.confidence)})
          {one.before !== "" && (
            <>
              , before this ‘<Written text={one.before} />’
            </>
          )}
          .
        </p>
        <p className="small soft">Why: {one.why}.</p>
        {decide.data ? (
          <p role="status" className="row">
            <span>
              Taken: ‘<Written text={one.proposed} />’.
            </span>
            <TakeBack decision={decide.data.decision.decision_id} what={`this taking of ${one.proposed}`} />
          </p>
        ) : (
          <p>
            <button disabled={decide.isPending} onClick={take}>
              Take ‘<Written text={one.proposed} />’
            </button>
          </p>
        )}
        {decide.isError && <Trouble thrown={decide.error} />}
      </div>
    </li>
  );
}
