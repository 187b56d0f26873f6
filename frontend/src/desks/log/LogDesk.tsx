/** Every decision ever made, the latest first; nothing is ever taken out of the log. */
import { useQuery } from "@tanstack/react-query";
import { decisionsAsked } from "../../api/ask";
import { counted, sentence } from "../../core/days";
import { Asked } from "../../parts/Asked";
import { DecisionList } from "../../parts/DecisionList";
import { useTitle } from "../../shell/useTitle";

export default function LogDesk() {
  useTitle("Decisions");
  const decisions = useQuery(decisionsAsked());
  return (
    <>
      <div className="title">
        <h1>Decisions</h1>
        {decisions.data && <span className="soft">{sentence(counted(decisions.data.length, "decision"))} in the log</span>}
      </div>
      <Asked of={decisions} what="the log">
        {(data) =>
          data.length === 0 ? (
            <p>Nothing has been decided yet. Correct a cell on a card, or rule on a finding, and it will stand here with its reason.</p>
          ) : (
            <DecisionList decisions={data} />
          )
        }
      </Asked>
    </>
  );
}
