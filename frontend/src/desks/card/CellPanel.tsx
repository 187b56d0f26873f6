/** The cell in hand: as written, as the machine read it, what it means, who else could be meant, and why. */
import { useEffect, useRef } from "react";
import type { CardPage, CellView, LineView } from "../../api/views";
import { columnWord } from "../../core/columns";
import { sentence } from "../../core/days";
import { hundredths } from "../../core/degrees";
import { Sure } from "../../parts/Degree";
import { TakeBack } from "../../parts/TakeBack";
import { Why } from "../../parts/Why";
import { WrittenCell } from "../../parts/Written";
import { Link } from "../../shell/router";
import { Candidates } from "./Candidates";
import { allLines } from "./Heading";
import type { Correction } from "./useCorrection";

interface CellPanelProps {
  page: CardPage;
  line: LineView;
  field: string;
  heading: boolean;
  cell: CellView | undefined;
  correction: Correction;
}

/** What stands in the heading of a card, by its field. */
const HEADED: Readonly<Record<string, string>> = { heading: "Heading of the card", heading_name: "Name in the heading of the card" };

export function CellPanel({ page, line, field, heading, cell, correction }: CellPanelProps) {
  const target = `${heading ? (page.lines[0]?.line_id ?? line.line_id) : line.line_id}/${field}`;
  const editingHere = heading && correction.target === target;
  const draft = correction.target === target ? undefined : correction.draftOf(target);
  const named = namedBy(field, line);
  const panel = useRef<HTMLElement>(null);
  const had = useRef(cell?.decision);
  useEffect(() => {
    // What was pressed to take a decision back is gone with it, so the keyboard is put on what can be done next.
    const lost = document.activeElement === document.body;
    if (had.current && !cell?.decision && lost) panel.current?.querySelector("button")?.focus();
    had.current = cell?.decision;
  }, [cell?.decision]);
  return (
    <section aria-labelledby="in-hand" ref={panel}>
      <h2 id="in-hand">
        {heading ? HEADED[field] : `${columnWord(field)}, line ${line.row}`}
      </h2>
      {cell && (
        <p className="as-written">
          <WrittenCell cell={cell} />
          {cell.mark && cell.mark !== "struck" && <span className="soft small"> marked as {cell.mark}</span>}
        </p>
      )}
      {cell && cell.meaning_text !== "" && (
        <p>
          <Sure degree={cell.degree} word>
            {cell.meaning_text}
          </Sure>
        </p>
      )}
      {cell && <HowRead cell={cell} />}
      {draft !== undefined && draft !== cell?.text && (
        <div className="wants">
          <p>
            Not saved: you typed ‘<span className="written">{draft}</span>’ here.
          </p>
        </div>
      )}
      {!editingHere && (
        <p className="row">
          <button onClick={() => correction.begin(target, cell?.text ?? "")}>
            {heading ? "Correct it for the whole card" : "Correct what is read here"}
          </button>
        </p>
      )}
      {heading && <p className="small">It stands once on the card and holds for {allLines(page)}.</p>}
      {cell && <OtherReadings cell={cell} take={(text) => { correction.begin(target, text); correction.type(text); }} />}
      {cell?.decision && <TakeBack decision={cell.decision} what="the decision on this cell" />}
      {cell && cell.findings.length > 0 && (
        <ul className="plain wants">
          {cell.findings.map((finding) => (
            <li key={finding}>
              <Link to={{ desk: "findings", finding }}>A finding names this cell: look at both sides</Link>
            </li>
          ))}
        </ul>
      )}
      {cell && named && (cell.candidates.length > 0 || cell.text !== "") && (
        <Candidates key={`${target} ${cell.meaning}`} target={target} field={field} cell={cell} names={named} />
      )}
      {cell && cell.reasons.length > 0 && (
        <details>
          <summary>Why it is {cell.degree}</summary>
          <Why sure={cell.sure} reasons={cell.reasons} of="what this cell says" />
        </details>
      )}
      <p className="small soft">{line.citation}</p>
    </section>
  );
}

function HowRead({ cell }: { cell: CellView }) {
  if (cell.read_as === "" && cell.text !== "") return <p className="small">Typed in by a person; nothing was read here.</p>;
  if (cell.read_as !== null && cell.read_as !== cell.text)
    return (
      <p className="small">
        Corrected; it was read as ‘<span className="written">{cell.read_as}</span>’.
      </p>
    );
  if (cell.typed || cell.confidence === null) return <p className="small soft">Typed in by a person.</p>;
  return <p className="small soft">The machine read it so with a sureness of {hundredths(cell.confidence)}.</p>;
}

/** What a cell names, if it names anything: the heading of a card names what the lines do not. */
function namedBy(field: string, line: LineView): "engine" | "component" | null {
  if (field === "engine" || field === "engine_name") return "engine";
  if (field === "component") return "component";
  if (field === "heading") return line.side === "engine" ? "engine" : "component";
  return null;
}

/** Other readings below this are not offered: they would read as 0 in 100. */
const SLIGHTEST = 0.005;

function OtherReadings({ cell, take }: { cell: CellView; take: (text: string) => void }) {
  const others = cell.alternatives.filter((other) => other.text !== cell.text && other.confidence >= SLIGHTEST);
  if (others.length === 0 && cell.instead === null && cell.proposed === null) return null;
  return (
    <div>
      {cell.proposed && (
        <p className="proposed">
          <button onClick={() => take(cell.proposed?.text ?? "")}>
            Take ‘<span className="written">{cell.proposed.text}</span>’
          </button>{" "}
          <span className="small">
            {hundredths(cell.proposed.confidence)}: {cell.proposed.why}.
          </span>
        </p>
      )}
      {cell.instead && (
        <p>
          Likelier: {cell.instead.meaning_text}, {hundredths(cell.instead.confidence)}. {sentence(cell.instead.why.replace(/\.$/, ""))}.
        </p>
      )}
      {others.length > 0 && (
        <>
          <h3>The letters could also be</h3>
          <ul className="plain others">
            {others.slice(0, 5).map((other) => (
              <li key={other.text}>
                <button onClick={() => take(other.text)}>
                  Take ‘<span className="written">{other.text}</span>’
                </button>
                <span className="soft small"> {hundredths(other.confidence)}</span>
              </li>
            ))}
          </ul>
        </>
      )}
    </div>
  );
}
