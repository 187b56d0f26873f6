/** One cell of the grid: as written over the rule of its degree, or being typed in. */
import type { LineView } from "../../api/views";
import { columnWord, isFigures } from "../../core/columns";
import { Sure } from "../../parts/Degree";
import { StruckOut, Written, WrittenCell } from "../../parts/Written";
import type { Correction } from "./useCorrection";

interface GridCellProps {
  line: LineView;
  field: string;
  current: boolean;
  reachable: boolean;
  editing: boolean;
  correction: Correction;
  done: (how: () => void) => void;
  choose: () => void;
  open: () => void;
}

export function GridCell({ line, field, current, reachable, editing, correction, done, choose, open }: GridCellProps) {
  const cell = line.cells[field];
  const figures = isFigures(field) ? "figure" : undefined;
  if (editing)
    return (
      <td role="gridcell" className={figures} data-current>
        <input
          className="written typing"
          aria-label={`${columnWord(field)} of line ${line.row}, as it stands on the scan`}
          autoFocus
          spellCheck={false}
          autoComplete="off"
          value={correction.text}
          onFocus={(event) => event.target.select()}
          onChange={(event) => correction.type(event.target.value)}
          onKeyDown={(event) => {
            if (event.key === "Enter") done(correction.save);
            else if (event.key === "Escape") done(correction.giveUp);
          }}
        />
      </td>
    );
  return (
    <td
      role="gridcell"
      className={figures}
      tabIndex={reachable ? 0 : -1}
      data-current={current || undefined}
      onClick={choose}
      onDoubleClick={open}
    >
      {cell && (
        <span className="in-cell">
          {cell.text !== "" && cell.degree !== "unknown" ? (
            <>
              <StruckOut cell={cell} />
              <Sure degree={cell.degree}>
                <Written text={cell.text} />
              </Sure>
            </>
          ) : (
            <WrittenCell cell={cell} />
          )}
          {cell.meaning_text !== "" && <span className="unseen">, which means {cell.meaning_text}</span>}
        </span>
      )}
    </td>
  );
}
