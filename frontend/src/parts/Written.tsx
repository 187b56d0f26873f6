/** The source's voice: text exactly as it stands on the card. */
import type { CellView } from "../api/views";

/** Text as written; an empty cell says so to a screen reader only, as the card itself shows nothing. */
export function Written({ text, mark = "" }: { text: string; mark?: string }) {
  if (text === "") return <span className="unseen">nothing written</span>;
  return (
    <span className="written" data-mark={mark || undefined}>
      {text}
    </span>
  );
}

/** A cell as written, with a figure that was struck out before it. */
export function WrittenCell({ cell }: { cell: CellView }) {
  return (
    <>
      <StruckOut cell={cell} />
      <Written text={cell.text} mark={cell.struck === "" ? cell.mark : ""} />
    </>
  );
}

/** The reading that was struck out on the card before what now stands there. */
export function StruckOut({ cell }: { cell: CellView }) {
  if (cell.struck === "") return null;
  return (
    <>
      <span className="unseen">struck out: </span>
      <del className="written">{cell.struck}</del>{" "}
    </>
  );
}
