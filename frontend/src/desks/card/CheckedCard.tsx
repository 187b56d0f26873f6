/** Saying of a whole card that what is not corrected stands as it was read; and taking that back. */
import { useId, useState, type FormEvent } from "react";
import { useDecide } from "../../api/decide";
import type { CardPage, ProposedCell } from "../../api/views";
import { TakeBack } from "../../parts/TakeBack";
import { Trouble } from "../../parts/Trouble";

export function CheckedCard({ page, changed }: { page: CardPage; changed: (cells: readonly ProposedCell[]) => void }) {
  const [asking, setAsking] = useState(false);
  const [reason, setReason] = useState("Every cell was held to the scan");
  const decide = useDecide();
  const id = useId();
  if (page.checked !== null)
    return (
      <span className="checked">
        Checked: what is not corrected stands as read. <TakeBack decision={page.checked} what="the check" />
      </span>
    );
  if (!asking) return <button onClick={() => setAsking(true)}>Say that the card is checked</button>;
  const submit = (event: FormEvent) => {
    event.preventDefault();
    decide.mutate(
      { kind: "checked", target: page.card.card_id, ruling: "stands", reason },
      { onSuccess: (done) => { setAsking(false); changed(done.changed.proposed); } },
    );
  };
  return (
    <form className="reasoned" onSubmit={submit}>
      <label htmlFor={id}>How it was checked</label>
      <input id={id} autoFocus required value={reason} onChange={(event) => setReason(event.target.value)} />
      <span className="row">
        <button className="chief" disabled={decide.isPending}>
          Let all that is not corrected stand as read
        </button>
        <button type="button" onClick={() => setAsking(false)}>
          Not yet
        </button>
      </span>
      {decide.isError && <Trouble thrown={decide.error} />}
    </form>
  );
}
