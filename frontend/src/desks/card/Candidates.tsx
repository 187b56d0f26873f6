/** Who could be meant by a number or name, likeliest first, and why; a person may choose another. */
import { useQuery } from "@tanstack/react-query";
import { useId, useState, type FormEvent } from "react";
import { enginesAsked, overviewAsked } from "../../api/ask";
import { useDecide } from "../../api/decide";
import type { CandidateView, CellView } from "../../api/views";
import { columnWord } from "../../core/columns";
import { counted, sentence } from "../../core/days";
import { hundredths } from "../../core/degrees";
import { Trouble } from "../../parts/Trouble";

const NOBODY = "none";

interface CandidatesProps {
  target: string;
  field: string;
  cell: CellView;
  /** What the cell names. */
  names: "engine" | "component";
}

export function Candidates({ target, field, cell, names }: CandidatesProps) {
  const meant = typeof cell.meaning === "string" ? cell.meaning : NOBODY;
  const [chosen, setChosen] = useState(meant);
  const [reason, setReason] = useState("It fits the dates");
  const decide = useDecide();
  const id = useId();
  const what = field === "component" || field === "heading" ? "one meant" : columnWord(field).toLowerCase().replace("’s name", "");
  const likely = cell.candidates.filter((one, nth) => nth === 0 || one.probability >= 0.01 || one.subject_id === meant);
  const rest = cell.candidates.filter((one) => !likely.includes(one));
  const others = useInTables(names).filter((one) => cell.candidates.every(({ subject_id }) => subject_id !== one.id));
  const other = others.find((one) => one.id === chosen);
  const label = cell.candidates.find((one) => one.subject_id === chosen)?.label ?? other?.label;
  const choice = (one: CandidateView) => (
    <label key={one.subject_id}>
      <input type="radio" name={id} checked={chosen === one.subject_id} onChange={() => setChosen(one.subject_id)} />
      <span>
        {one.label} <span className="soft small">{hundredths(one.probability)}</span>
        {one.why && <span className="why-one small soft">{one.why}</span>}
      </span>
    </label>
  );
  const submit = (event: FormEvent) => {
    event.preventDefault();
    decide.mutate({ kind: "link", target, ruling: chosen, reason });
  };
  return (
    <form className="candidates" onSubmit={submit}>
      <fieldset>
        <legend>Who could be meant</legend>
        {likely.map(choice)}
        {rest.length > 0 && (
          <details>
            <summary>{sentence(counted(rest.length, "less likely one"))}</summary>
            {rest.map(choice)}
          </details>
        )}
        <label className="another">
          <span>Another {names}</span>
          <select value={other?.id ?? ""} onChange={(event) => setChosen(event.target.value || meant)}>
            <option value="">none of them</option>
            {others.map((one) => (
              <option key={one.id} value={one.id}>
                {one.label}
              </option>
            ))}
          </select>
        </label>
        <label>
          <input type="radio" name={id} checked={chosen === NOBODY} onChange={() => setChosen(NOBODY)} />
          <span>Nobody in the tables</span>
        </label>
      </fieldset>
      {chosen !== meant && (
        <div className="reasoned">
          <label htmlFor={`${id}-reason`}>Reason</label>
          <input id={`${id}-reason`} required value={reason} onChange={(event) => setReason(event.target.value)} />
          <button className="chief" disabled={decide.isPending}>
            {label === undefined ? "Take nobody in the tables as meant" : `Take ${label} as the ${what}`}
          </button>
        </div>
      )}
      {decide.isError && <Trouble thrown={decide.error} />}
    </form>
  );
}

/** Every engine or component of the tables: whoever is meant may be none that the program thought of. */
function useInTables(names: "engine" | "component"): readonly { id: string; label: string }[] {
  const engines = useQuery({ ...enginesAsked(), enabled: names === "engine" });
  const archive = useQuery({ ...overviewAsked(), enabled: names === "component" });
  return names === "engine"
    ? (engines.data ?? []).map((one) => ({ id: one.engine_id, label: one.label }))
    : (archive.data?.components ?? []).map((one) => ({ id: one.component_id, label: one.label }));
}
