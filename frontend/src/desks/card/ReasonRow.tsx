/** Under the cell that is being typed: the reason, ready to be kept or changed, and what will happen. */
import { Trouble } from "../../parts/Trouble";
import type { Correction } from "./useCorrection";

interface ReasonRowProps {
  span: number;
  correction: Correction;
  done: (how: () => void) => void;
}

export function ReasonRow({ span, correction, done }: ReasonRowProps) {
  return (
    <tr className="reason-row">
      <td colSpan={span} role="gridcell">
        <ReasonForm correction={correction} done={done} />
      </td>
    </tr>
  );
}

interface ReasonFormProps {
  correction: Correction;
  done: (how: () => void) => void;
  /** What the button says of where it will be written. */
  where?: string;
}

export function ReasonForm({ correction, done, where = "here" }: ReasonFormProps) {
  return (
    <form
      className="reason-form"
      onSubmit={(event) => {
        event.preventDefault();
        done(correction.save);
      }}
      onKeyDown={(event) => {
        if (event.key === "Escape") done(correction.giveUp);
        event.stopPropagation();
      }}
    >
      <label>
        Reason{" "}
        <input required value={correction.reason} onChange={(event) => correction.give(event.target.value)} />
      </label>
      <button className="chief" disabled={correction.saving}>
        Write ‘{correction.text || "nothing"}’ {where}
      </button>
      <button type="button" onClick={() => done(correction.giveUp)}>
        Leave it as it was
      </button>
      {correction.trouble !== null && <Trouble thrown={correction.trouble} />}
    </form>
  );
}
