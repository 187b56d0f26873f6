/** The numbered footnotes: what each cites, the slip of it, and the way to the line on the scan. */
import type { ComponentPage, LineView, NoteView } from "../../api/views";
import { lineBoxOf } from "../../core/lines";
import { LineWritten } from "../../parts/LineSlip";
import { Slip } from "../../parts/Slip";
import { Link } from "../../shell/router";

export function Notes({ page }: { page: ComponentPage }) {
  const lines = new Map(page.lines.map((line) => [line.line_id, line]));
  if (page.notes.length === 0) return <p>There is nothing to cite yet.</p>;
  const numbers = [...new Set(page.notes.map((note) => note.number))];
  const full = firstOfEach(page.notes, lines);
  return (
    <ol className="plain footnotes">
      {numbers.map((number) => (
        <li key={number} id={`note-${number}`} tabIndex={-1}>
          <span className="number">{number}</span>
          <div>
            {page.notes.filter((note) => note.number === number).map((note) => (
              <Citation key={note.line_id} note={note} full={full.has(note)} line={lines.get(note.line_id)} />
            ))}
          </div>
        </li>
      ))}
    </ol>
  );
}

function Citation({ note, full, line }: { note: NoteView; full: boolean; line: LineView | undefined }) {
  return (
    <div className="citation">
      <p>
        {full ? note.first : note.short}.{" "}
        {line && line.card_id !== "" && (
          <Link
            to={{ desk: "card", card: line.card_id, line: line.line_id, field: null }}
            aria-label={`Open the scan at this line: footnote ${note.number}, ${note.short}`}
          >
            Open the scan at this line
          </Link>
        )}
      </p>
      {line?.scan ? (
        <Slip scan={line.scan} box={lineBoxOf(line)} shows={`The scan of ${note.short}`} />
      ) : (
        line && <LineWritten line={line} />
      )}
    </div>
  );
}

/** The notes that cite their source for the first time, and so in full. */
function firstOfEach(notes: readonly NoteView[], lines: ReadonlyMap<string, LineView>): ReadonlySet<NoteView> {
  const cited = new Set<string>();
  return new Set(
    notes.filter((note) => {
      const source = lines.get(note.line_id)?.source_id ?? note.line_id;
      const fresh = !cited.has(source);
      cited.add(source);
      return fresh;
    }),
  );
}
