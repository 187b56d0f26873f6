/** A line of a card as evidence: its slip, its text as written, and its citation that opens the scan. */
import type { LineView } from "../api/views";
import { columnsOf } from "../core/columns";
import { lineBoxOf } from "../core/lines";
import { Link } from "../shell/router";
import { Slip } from "./Slip";
import { WrittenCell } from "./Written";

export function LineSlip({ line, copy = false }: { line: LineView; copy?: boolean }) {
  return (
    <div className="line-slip">
      {line.scan && <Slip scan={line.scan} box={lineBoxOf(line)} shows={`The scan of ${line.citation}`} />}
      <LineWritten line={line} />
      <p className="small">
        {line.citation}.{copy && " It only repeats another source."}{" "}
        {line.card_id !== "" && (
          <Link to={{ desk: "card", card: line.card_id, line: line.line_id, field: null }}>Open the scan at this line</Link>
        )}
      </p>
    </div>
  );
}

/** A line in the source's voice, cell after cell. */
export function LineWritten({ line }: { line: LineView }) {
  const fields = columnsOf([line]).filter((field) => !field.startsWith("heading") && line.cells[field]?.text);
  return (
    <p className="line-written">
      {fields.map((field) => {
        const cell = line.cells[field];
        return (
          cell && (
            <span key={field}>
              <WrittenCell cell={cell} />
            </span>
          )
        );
      })}
    </p>
  );
}
