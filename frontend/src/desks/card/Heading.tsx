/** The heading of the card as written: it stands once and holds for every line, and is corrected where it stands. */
import { useEffect, useRef } from "react";
import type { CardPage, CellView } from "../../api/views";
import { columnWord } from "../../core/columns";
import { counted, sentence } from "../../core/days";
import { WrittenCell } from "../../parts/Written";
import { ReasonForm } from "./ReasonRow";
import { targetOf, type Spot } from "./spots";
import type { Correction } from "./useCorrection";

interface HeadingProps {
  page: CardPage;
  spot: Spot;
  choose: (spot: Spot) => void;
  correction: Correction;
}

export function Heading({ page, spot, choose, correction }: HeadingProps) {
  const { list, done } = useReturn(spot.heading && correction.target === targetOf(spot));
  const parts = Object.entries(page.heading);
  const editing = spot.heading && correction.target === targetOf(spot);
  if (parts.length === 0) return null;
  const take = (field: string, cell: CellView) => {
    const there: Spot = { line: page.lines[0]?.line_id ?? spot.line, field, heading: true };
    if (spot.heading && spot.field === field) correction.begin(targetOf(there), cell.text);
    else choose(there);
  };
  return (
    <>
      <ul className="plain heading" aria-label="Heading of the card, as written" ref={list}>
        {parts.map(([field, cell]) => (
          <li key={field}>
            <button
              className="quiet"
              aria-pressed={spot.heading && spot.field === field}
              onClick={() => take(field, cell)}
            >
              <span className="soft small">{sentence(columnWord(field))}</span>{" "}
              {cell.text === "" ? <span className="soft">nothing is read here</span> : <WrittenCell cell={cell} />}
            </button>
          </li>
        ))}
        {spot.heading && !editing && (
          <li className="soft small">It holds for {allLines(page)}. Enter corrects it for all of them.</li>
        )}
      </ul>
      {editing && <HeadingEditor page={page} field={spot.field} correction={correction} done={done} />}
    </>
  );
}

/** For how many lines the heading stands, in words. */
export function allLines(page: CardPage): string {
  return page.lines.length === 1 ? "the one line of the card" : `the whole card, ${counted(page.lines.length, "line")}`;
}

/** When typing is over, the keyboard is back on the heading that it came from. */
function useReturn(editing: boolean) {
  const list = useRef<HTMLUListElement>(null);
  const back = useRef(false);
  useEffect(() => {
    if (!back.current || editing) return;
    back.current = false;
    list.current?.querySelector<HTMLElement>('[aria-pressed="true"]')?.focus();
  });
  const done = (how: () => void) => {
    back.current = true;
    how();
  };
  return { list, done };
}

interface EditorProps {
  page: CardPage;
  field: string;
  correction: Correction;
  done: (how: () => void) => void;
}

function HeadingEditor({ page, field, correction, done }: EditorProps) {
  return (
    <div className="heading-editor">
      <input
        className="written"
        aria-label={`${columnWord(field)} of the whole card, as it stands on the scan`}
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
      <ReasonForm correction={correction} done={done} where={`for ${allLines(page)}`} />
    </div>
  );
}
