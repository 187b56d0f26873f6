/** The fitments in order, with running miles; each opens to show why it is believed and the slips it rests on. */
import { Fragment } from "react";
import type { ComponentPage, FitmentView, LineView } from "../../api/views";
import { figure } from "../../core/days";
import { Sure } from "../../parts/Degree";
import { LineSlip } from "../../parts/LineSlip";
import { Why } from "../../parts/Why";
import { Link } from "../../shell/router";

interface FitmentsProps {
  page: ComponentPage;
  chosen: number | null;
  choose: (nth: number | null) => void;
}

export function Fitments({ page, chosen, choose }: FitmentsProps) {
  const lines = new Map(page.lines.map((line) => [line.line_id, line]));
  if (page.fitments.length === 0) return <p>No fitment is known yet. Read the cards that speak of it, or type their lines.</p>;
  return (
    <div className="scrolls" role="region" aria-labelledby="fitments" tabIndex={0}>
      <table className="fitments">
        <thead>
          <tr>
            <th scope="col">Engine, as it was then</th>
            <th scope="col">Fitted</th>
            <th scope="col">Removed</th>
            <th scope="col" className="figure">
              Miles
            </th>
            <th scope="col" className="figure">
              Running miles
            </th>
            <th scope="col">How sure</th>
            <th scope="col">Footnotes</th>
            <th scope="col">
              <span className="unseen">Reasons</span>
            </th>
          </tr>
        </thead>
        <tbody>
          {page.fitments.map((fitment, nth) => (
            <Fragment key={nth}>
              <Row fitment={fitment} nth={nth} open={chosen === nth} toggle={() => choose(chosen === nth ? null : nth)} />
              {chosen === nth && <Grounds fitment={fitment} nth={nth} lines={lines} />}
            </Fragment>
          ))}
        </tbody>
      </table>
    </div>
  );
}

interface RowProps {
  fitment: FitmentView;
  nth: number;
  open: boolean;
  toggle: () => void;
}

function Row({ fitment, nth, open, toggle }: RowProps) {
  const { miles } = fitment;
  return (
    <tr id={`fitment-${nth}`} data-chosen={open || undefined}>
      <th scope="row">
        <Link to={{ desk: "engines", engine: fitment.engine_id }}>{fitment.engine_then}</Link>
      </th>
      <td>{fitment.fitted?.text ?? "not known"}</td>
      <td>{fitment.removed?.text ?? "not known"}</td>
      <td className="figure">
        {miles?.basis === "estimated" ? (
          <span className="soft">no figure</span>
        ) : (
          <>
            {miles?.value === null || miles === null ? <span className="soft">no figure</span> : figure(miles.value)}
            {miles?.basis === "derived" && <span className="soft small"> derived</span>}
          </>
        )}
      </td>
      <td className="figure">{fitment.running_miles === null ? "" : figure(fitment.running_miles)}</td>
      <td>
        <span className="degree" data-degree={fitment.degree}>
          {fitment.degree}
        </span>
      </td>
      <td className="notes-of">
        {fitment.notes.map((note) => (
          <a key={note} href={`#note-${note}`} aria-label={`Footnote ${note}`}>
            {note}
          </a>
        ))}
      </td>
      <td>
        <button className="quiet" aria-expanded={open} aria-label={`Why: ${fitment.engine_then}, ${fitment.fitted?.text ?? "at no known date"}`} onClick={toggle}>
          Why
        </button>
      </td>
    </tr>
  );
}

function Grounds({ fitment, nth, lines }: { fitment: FitmentView; nth: number; lines: Map<string, LineView> }) {
  const { miles } = fitment;
  return (
    <tr className="grounds" id={`grounds-${nth}`}>
      <td colSpan={8}>
        <div className="grounds-in">
          <div>
            <Why sure={fitment.confidence} reasons={fitment.reasons} of="this fitment" />
            {miles && (
              <p className="small">
                Miles: <Sure degree={fitment.degree}>{miles.text}</Sure>, {miles.basis}
                {miles.low !== null && miles.high !== null && miles.low !== miles.high && (
                  <>
                    ; between {figure(miles.low)} and {figure(miles.high)}
                  </>
                )}
                .
              </p>
            )}
          </div>
          <div className="slips">
            {fitment.evidence.map((id) => {
              const line = lines.get(id);
              return line && <LineSlip key={id} line={line} copy={fitment.copies.includes(id)} />;
            })}
          </div>
        </div>
      </td>
    </tr>
  );
}
