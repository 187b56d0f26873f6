/** Ruling on a finding: each button says what will be taken as true; a reason is wanted with any of them. */
import { useQuery } from "@tanstack/react-query";
import { useId, useRef, useState } from "react";
import { whatIfAsked } from "../../api/ask";
import { useDecide } from "../../api/decide";
import type { FindingView, OutcomeView } from "../../api/views";
import { Trouble } from "../../parts/Trouble";
import { Outcome } from "./Outcome";

export function Rule({ finding }: { finding: FindingView }) {
  const [reason, setReason] = useState("");
  const [missing, setMissing] = useState(false);
  const field = useRef<HTMLTextAreaElement>(null);
  const decide = useDecide();
  const ahead = useQuery(whatIfAsked(finding.id));
  const outcomes = new Map((ahead.data?.outcomes ?? []).map((outcome) => [outcome.ruling, outcome]));
  const id = useId();
  const give = (ruling: string) => {
    if (reason.trim() === "") {
      setMissing(true);
      field.current?.focus();
      return;
    }
    decide.mutate({ kind: "finding", target: finding.id, ruling, reason });
  };
  if (finding.rulings.length === 0)
    return <p>No ruling is offered on this one. Correct what was misread, or mend the tables, and it will close of itself.</p>;
  return (
    <section className="ruling" aria-label="Your ruling">
      <p className="small soft">
        If a slip says something else than what stands beside it, it was misread: open its scan and correct what was read,
        and the finding closes of itself.
      </p>
      <label htmlFor={id}>Your reason, whichever you choose</label>
      <textarea
        id={id}
        ref={field}
        rows={2}
        required
        value={reason}
        aria-invalid={missing}
        aria-describedby={missing ? `${id}-missing` : undefined}
        onChange={(event) => {
          setReason(event.target.value);
          setMissing(false);
        }}
      />
      {missing && (
        <p className="trouble" id={`${id}-missing`} role="alert">
          A reason was expected and none was given. Say in a few words why, so that others can follow you.
        </p>
      )}
      <ul className="plain rulings">
        {finding.rulings.map((offered) => (
          <li key={offered.ruling}>
            <button disabled={decide.isPending} onClick={() => give(offered.ruling)}>
              {offered.label}
            </button>
            <Told outcome={outcomes.get(offered.ruling)} />
          </li>
        ))}
      </ul>
      <p role="status" className="small soft">
        {ahead.isPending && "What each of these would change is being worked out…"}
        {ahead.isError && "What each of these would change could not be worked out just now."}
      </p>
      {decide.isError && <Trouble thrown={decide.error} />}
    </section>
  );
}

function Told({ outcome }: { outcome: OutcomeView | undefined }) {
  return outcome === undefined ? null : <Outcome outcome={outcome} />;
}
