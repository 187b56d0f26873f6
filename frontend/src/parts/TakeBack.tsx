/** Taking a decision back, with a reason, where the decision is shown. */
import { useId, useState, type FormEvent } from "react";
import { useTakeBack } from "../api/decide";
import { Trouble } from "./Trouble";

interface TakeBackProps {
  decision: string;
  /** What is taken back, for the button: 'this correction'. */
  what: string;
  ready?: string;
}

export function TakeBack({ decision, what, ready = "It was a slip of mine" }: TakeBackProps) {
  const [asking, setAsking] = useState(false);
  const [reason, setReason] = useState(ready);
  const takeBack = useTakeBack();
  const id = useId();
  if (!asking)
    return (
      <button className="quiet" onClick={() => setAsking(true)}>
        Take back {what}
      </button>
    );
  const submit = (event: FormEvent) => {
    event.preventDefault();
    takeBack.mutate({ decision, reason });
  };
  return (
    <form className="reasoned" onSubmit={submit}>
      <label htmlFor={id}>Why it is taken back</label>
      <input id={id} autoFocus required value={reason} onChange={(event) => setReason(event.target.value)} />
      <span className="row">
        <button className="chief" disabled={takeBack.isPending}>
          Take back {what}
        </button>
        <button type="button" onClick={() => setAsking(false)}>
          Let it stand
        </button>
      </span>
      {takeBack.isError && <Trouble thrown={takeBack.error} />}
    </form>
  );
}
