/** The numbered footnotes: citation, slip, and the way to the line on the scan. */
import type { ComponentPage } from "../../api/views";
import { LineWritten } from "../../parts/LineSlip";
import { Slip } from "../../parts/Slip";
import { Link } from "../../shell/router";

export function Notes({ page }: { page: ComponentPage }) {
  const lines = new Map(page.lines.map((line) => [line.line_id, line]));
  const cited = new Set<string>();
  if (page.notes.length === 0) return <p>There is nothing to cite yet.</p>;
  return (
    <ol className="plain footnotes">
      {page.notes.map((note) => {
        const line = lines.get(note.line_id);
        const source = line?.source_id ?? note.line_id;
        const text = cited.has(source) ? note.short : note.first;
        cited.add(source);
        return (
          <li key={note.number} id={`note-${note.number}`} tabIndex={-1}>
            <span className="number">{note.number}</span>
            <div>
              <p>
                {text}{" "}
                {line && line.card_id !== "" && (
                  <Link
                    to={{ desk: "card", card: line.card_id, line: line.line_id, field: null }}
                    aria-label={`Open the scan at footnote ${note.number}`}
                  >
                    Open the scan at this line
                  </Link>
                )}
              </p>
              {line?.scan ? <Slip scan={line.scan} box={line.box} shows={`The scan of ${line.citation}`} /> : line && <LineWritten line={line} />}
            </div>
          </li>
        );
      })}
    </ol>
  );
}
