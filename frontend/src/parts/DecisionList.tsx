/** Decisions in the order of the log: what was ruled, by whom, when and why. */
import type { DecisionView } from "../api/views";
import { momentInWords } from "../core/days";
import { TakeBack } from "./TakeBack";

export function DecisionList({ decisions }: { decisions: readonly DecisionView[] }) {
  return (
    <ol className="plain decisions">
      {decisions.map((decision) => (
        <li key={decision.decision_id} data-stands={decision.stands}>
          <div>
            <p>{decision.says}</p>
            <p className="small soft">
              {decision.by}, {momentInWords(decision.at)}: ‘{decision.reason.replace(/\.$/, "")}’.
              {!decision.stands && " It has been taken back."}
            </p>
          </div>
          {decision.stands && (
            <TakeBack
              decision={decision.decision_id}
              what={decision.kind === "revoke" ? "this taking-back" : "this decision"}
            />
          )}
        </li>
      ))}
    </ol>
  );
}
