/** Adding a row to an authority table, or mending one: only what changed goes into the decision. */
import { useId, useState, type FormEvent } from "react";
import { useDecide } from "../../api/decide";
import type { AuthorityTable } from "../../api/views";
import { Trouble } from "../../parts/Trouble";

interface RowFormProps {
  table: AuthorityTable;
  row: AuthorityTable["rows"][number] | null;
  done: () => void;
}

export function RowForm({ table, row, done }: RowFormProps) {
  const [values, setValues] = useState<Record<string, string>>(row?.values ?? {});
  const [reason, setReason] = useState("");
  const decide = useDecide();
  const id = useId();
  const changed = Object.fromEntries(
    Object.entries(values).filter(([column, text]) => text !== (row?.values[column] ?? "")),
  );
  const key = row?.key ?? table.key.map((column) => values[column] ?? "").join("/");
  const name = row ? `Mend ${row.key}` : `Add a row to ${table.table}`;
  const submit = (event: FormEvent) => {
    event.preventDefault();
    decide.mutate(
      { kind: "authority", target: `${table.table}:${key}`, ruling: JSON.stringify(changed), reason },
      { onSuccess: done },
    );
  };
  return (
    <form className="row-form" aria-label={name} onSubmit={submit}>
      <h2>{name}</h2>
      <div className="fields">
        {table.columns.map((column) => {
          const fixed = row !== null && table.key.includes(column);
          return (
            <label key={column}>
              {column.replaceAll("_", " ")}
              <input
                value={values[column] ?? ""}
                readOnly={fixed}
                required={table.key.includes(column)}
                onChange={(event) => setValues({ ...values, [column]: event.target.value })}
              />
            </label>
          );
        })}
      </div>
      <p className="small soft wide">Dates are written as in EDTF: 1911-04 for a month, [1903-05-01..1903-08-31] for one day in a span.</p>
      <div className="reasoned">
        <label htmlFor={`${id}-reason`}>Reason</label>
        <input id={`${id}-reason`} required value={reason} onChange={(event) => setReason(event.target.value)} />
        <span className="row">
          <button className="chief" disabled={decide.isPending || Object.keys(changed).length === 0}>
            {row ? `Write the changes to ${row.key}` : `Add this row to ${table.table}`}
          </button>
          <button type="button" onClick={done}>
            Leave it as it was
          </button>
        </span>
      </div>
      {decide.isError && <Trouble thrown={decide.error} />}
    </form>
  );
}
