/** The authority tables: what is known before any card is read. A row is added or mended with a reason. */
import { useQuery } from "@tanstack/react-query";
import { useState } from "react";
import { tableAsked } from "../../api/ask";
import type { AuthorityTable } from "../../api/views";
import { Asked } from "../../parts/Asked";
import { go, Link } from "../../shell/router";
import { RowForm } from "./RowForm";
import { useTitle } from "../../shell/useTitle";
import "./tables.css";

const TABLES = ["engines", "components", "designations", "fits", "events", "sources", "cards"];

export default function TablesDesk({ table, row }: { table: string; row: string | null }) {
  useTitle(`The table ${table}`);
  const asked = useQuery(tableAsked(table));
  return (
    <>
      <div className="title">
        <h1>Tables</h1>
        <nav aria-label="Tables">
          <ul className="plain row">
            {TABLES.map((one) => (
              <li key={one}>
                <Link to={{ desk: "tables", table: one, key: null }} aria-current={one === table ? "page" : undefined}>
                  {one}
                </Link>
              </li>
            ))}
          </ul>
        </nav>
      </div>
      <Asked of={asked} what="the table">
        {(data) => <Table key={data.table} data={data} row={row} />}
      </Asked>
    </>
  );
}

function Table({ data, row }: { data: AuthorityTable; row: string | null }) {
  const [sought, setSought] = useState("");
  const [adding, setAdding] = useState(false);
  const mending = data.rows.find((one) => one.key === row);
  const close = () => {
    setAdding(false);
    go({ desk: "tables", table: data.table, key: null });
  };
  const shown = data.rows.filter((one) => Object.values(one.values).join(" ").toLowerCase().includes(sought.trim().toLowerCase()));
  return (
    <>
      <p className="row">
        <label htmlFor="seek-row">Find a row</label>
        <input id="seek-row" type="search" value={sought} onChange={(event) => setSought(event.target.value)} />
        {!adding && !mending && <button onClick={() => setAdding(true)}>Add a row to {data.table}</button>}
      </p>
      {(adding || mending) && <RowForm key={mending?.key ?? "new"} table={data} row={mending ?? null} done={close} />}
      <div className="scrolls" role="region" aria-label={`The table ${data.table}`} tabIndex={0}>
        <table className="authority">
          <thead>
            <tr>
              {data.columns.map((column) => (
                <th key={column} scope="col">
                  {column.replaceAll("_", " ")}
                </th>
              ))}
              <th scope="col">
                <span className="unseen">Mend</span>
              </th>
            </tr>
          </thead>
          <tbody>
            {shown.map((one) => (
              <tr key={one.key} data-chosen={one.key === row || undefined}>
                {data.columns.map((column) => (
                  <td key={column}>{one.values[column]}</td>
                ))}
                <td>
                  <Link to={{ desk: "tables", table: data.table, key: one.key }} aria-label={`Mend ${one.key}`}>
                    Mend
                  </Link>
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {shown.length === 0 && <p>{data.rows.length === 0 ? "This table is empty." : "No row has that in it. Clear the field to see all rows."}</p>}
    </>
  );
}
