/** The lines of a card as written; the slip of the line in hand stands directly over it. */
import { Fragment, useEffect, useRef, type KeyboardEvent } from "react";
import type { CardPage, LineView, ScanView } from "../../api/views";
import { columnWord, isFigures, type Ruling } from "../../core/columns";
import { afterKey, type Cursor } from "../../core/cursor";
import { GridCell } from "./GridCell";
import { ReasonRow } from "./ReasonRow";
import { SlipRow } from "./SlipRow";
import { targetOf, type Reach, type Spot } from "./spots";
import type { Correction } from "./useCorrection";

interface GridProps {
  page: CardPage;
  columns: readonly string[];
  ruling: Ruling | null;
  reach: Reach | null;
  scan: ScanView | null;
  gutter: number;
  width: number;
  spot: Spot;
  choose: (spot: Spot) => void;
  correction: Correction;
}

export function Grid(props: GridProps) {
  const { page, columns, ruling, gutter, width, spot, choose, correction } = props;
  const { table, row, column, editing, begin, done, onKey } = useHand(props);
  const widths = columns.map((_, nth) => (ruling?.shares[nth] ?? 1 / columns.length) * (width - gutter));
  return (
    <>
      <table role="grid" className="grid" aria-label="Lines of the card, as written" ref={table} onKeyDown={onKey}>
        <colgroup>
          <col style={{ width: gutter }} />
          {widths.map((wide, nth) => (
            <col key={nth} style={{ width: wide }} />
          ))}
        </colgroup>
        <thead>
          <tr>
            <th scope="col">
              <abbr title="line">No.</abbr>
            </th>
            {columns.map((field) => (
              <th key={field} scope="col" className={isFigures(field) ? "figure" : undefined}>
                {columnWord(field)}
              </th>
            ))}
          </tr>
        </thead>
        <tbody>
          {page.lines.map((line, nth) => (
            <Fragment key={line.line_id}>
              {nth === row && <SlipRow line={line} {...props} />}
              <tr data-current={nth === row || undefined}>
                <th scope="row">{line.row || nth + 1}</th>
                {columns.map((field, across) => (
                  <GridCell
                    key={field}
                    line={line}
                    field={field}
                    current={nth === row && across === column && !spot.heading}
                    reachable={nth === row && across === column}
                    editing={editing && nth === row && across === column}
                    correction={correction}
                    done={done}
                    choose={() => choose({ line: line.line_id, field, heading: false })}
                    open={begin}
                  />
                ))}
              </tr>
              {nth === row && (editing ? <ReasonRow span={columns.length + 1} correction={correction} done={done} /> : <Meanings line={line} columns={columns} />)}
            </Fragment>
          ))}
        </tbody>
      </table>
      <p role="status" className="said-softly">
        {correction.said}
      </p>
    </>
  );
}

/** Where the hand is in the grid, and what the keys do there. */
function useHand({ page, columns, spot, choose, correction }: GridProps) {
  const table = useRef<HTMLTableElement>(null);
  const follow = useRef(false);
  const row = Math.max(page.lines.findIndex((line) => line.line_id === spot.line), 0);
  const column = Math.max(columns.indexOf(spot.field), 0);
  const spotAt = (at: Cursor): Spot => ({
    line: page.lines[at.row]?.line_id ?? "",
    field: columns[at.column] ?? "",
    heading: false,
  });
  const here = spotAt({ row, column });
  const editing = correction.target !== null && !spot.heading && correction.target === targetOf(here);
  useEffect(() => {
    if (!follow.current || editing) return;
    follow.current = false;
    table.current?.querySelector<HTMLElement>('[role="gridcell"][tabindex="0"]')?.focus();
  });
  const begin = () => {
    if (spot.heading) choose(here);
    correction.begin(targetOf(here), page.lines[row]?.cells[here.field]?.text ?? "");
  };
  const done = (how: () => void) => {
    follow.current = true;
    how();
  };
  const onKey = (event: KeyboardEvent) => {
    if (editing || event.altKey || event.metaKey) return;
    const next = afterKey({ row, column }, event.key, page.lines.length, columns.length, event.ctrlKey);
    const opens = event.key === "Enter" || event.key === "F2";
    if (next === null && !opens) return;
    event.preventDefault();
    if (next === null) begin();
    else done(() => choose(spotAt(next)));
  };
  return { table, row, column, editing, begin, done, onKey };
}

/** What the line in hand means, in the program's voice, cell under cell; each cell already says it aloud. */
function Meanings({ line, columns }: { line: LineView; columns: readonly string[] }) {
  return (
    <tr className="meanings" aria-hidden="true">
      <td />
      {columns.map((field) => {
        const cell = line.cells[field];
        return (
          <td key={field} className={isFigures(field) ? "figure" : undefined} title={cell?.meaning_text}>
            {cell?.meaning_text}
          </td>
        );
      })}
    </tr>
  );
}
