/** What the evidence leaves open: the list on one side, both sides of one finding on the other. */
import { useQuery } from "@tanstack/react-query";
import { useEffect, useState } from "react";
import { findingsAsked } from "../../api/ask";
import type { FindingView } from "../../api/views";
import { counted, sentence } from "../../core/days";
import { Asked } from "../../parts/Asked";
import { go, Link } from "../../shell/router";
import { Finding } from "./Finding";
import { useTitle } from "../../shell/useTitle";
import "./findings.css";

type State = "open" | "settled" | "all";

export default function FindingsDesk({ finding }: { finding: string | null }) {
  const findings = useQuery(findingsAsked());
  return (
    <Asked of={findings} what="the findings">
      {(data) => <Findings all={data} finding={finding} />}
    </Asked>
  );
}

function Findings({ all, finding }: { all: readonly FindingView[]; finding: string | null }) {
  useTitle("Findings");
  const asked = all.find((one) => one.id === finding);
  const [state, setState] = useState<State>(asked?.state === "settled" ? "all" : "open");
  const [kind, setKind] = useState("");
  const kinds = [...new Set(all.map((one) => one.kind))].sort();
  // The finding in hand stays on the list when a ruling settles it, so that nothing vanishes under the hand.
  const shown = all.filter(
    (one) => one.id === finding || ((state === "all" || one.state === state) && (kind === "" || one.kind === kind)),
  );
  const at = shown.findIndex((one) => one.id === finding);
  useTurning(shown, at);
  return (
    <>
      <div className="title">
        <h1>Findings</h1>
        <span className="soft">{sentence(counted(all.filter((one) => one.state === "open").length, "finding"))} open</span>
        <Filters state={state} setState={setState} kind={kind} setKind={setKind} kinds={kinds} />
      </div>
      {all.length === 0 && <p>Nothing in the evidence is left open. Findings come of themselves when cards are read or tables change.</p>}
      <div className="findings-desk">
        <nav aria-label="Findings">
          <ul className="plain">
            {shown.map((one) => (
              <li key={one.id}>
                <Link to={{ desk: "findings", finding: one.id }} aria-current={one.id === finding ? "true" : undefined}>
                  <span className="small soft">
                    {sentence(one.kind.replaceAll("-", " "))}
                    {one.state === "settled" && ", settled"}
                    {one.components.length > 0 && `, ${one.components.map((of) => of.label).join(" and ")}`}
                  </span>
                  <span>{firstSentence(one.message)}</span>
                </Link>
              </li>
            ))}
          </ul>
          {shown.length === 0 && all.length > 0 && <p>No finding is {state === "all" ? "of this kind" : state}.</p>}
        </nav>
        <div>
          {asked ? (
            <Finding key={asked.id} finding={asked} previous={shown[at - 1]?.id ?? null} next={shown[at + 1]?.id ?? null} />
          ) : (
            shown.length > 0 && (
              <p className="soft">
                Choose a finding to see both sides of it. Alt with the arrow down or up goes to the next one or the one before.
              </p>
            )
          )}
        </div>
      </div>
    </>
  );
}

const firstSentence = (message: string) => /^.*?[.;](?=\s|$)/.exec(message)?.[0] ?? message;

/** Alt with an arrow goes to the next finding or the one before, wherever the hand is. */
function useTurning(shown: readonly FindingView[], at: number): void {
  useEffect(() => {
    const turn = (event: KeyboardEvent) => {
      const step = event.key === "ArrowDown" ? 1 : event.key === "ArrowUp" ? -1 : 0;
      const to = shown[at === -1 && step === -1 ? -1 : at + step];
      if (!event.altKey || step === 0 || to === undefined) return;
      event.preventDefault();
      go({ desk: "findings", finding: to.id });
    };
    window.addEventListener("keydown", turn);
    return () => window.removeEventListener("keydown", turn);
  }, [shown, at]);
}

interface FiltersProps {
  state: State;
  setState: (state: State) => void;
  kind: string;
  setKind: (kind: string) => void;
  kinds: readonly string[];
}

function Filters({ state, setState, kind, setKind, kinds }: FiltersProps) {
  return (
    <span className="row filters">
      <label>
        Show{" "}
        <select value={state} onChange={(event) => setState(event.target.value as State)}>
          <option value="open">open ones</option>
          <option value="settled">settled ones</option>
          <option value="all">all</option>
        </select>
      </label>
      <label>
        of the kind{" "}
        <select value={kind} onChange={(event) => setKind(event.target.value)}>
          <option value="">any</option>
          {kinds.map((one) => (
            <option key={one} value={one}>
              {one.replaceAll("-", " ")}
            </option>
          ))}
        </select>
      </label>
    </span>
  );
}
