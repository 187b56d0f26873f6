/** A scan with its lines: the eye moves a finger's breadth from the slip to the line that is typed. */
import { useQuery } from "@tanstack/react-query";
import { useEffect, useMemo, useRef, useState } from "react";
import { cardAsked } from "../../api/ask";
import type { CardPage } from "../../api/views";
import { counted, sentence } from "../../core/days";
import { boxOf, scanPx, type Size, type ScanPx } from "../../core/geometry";
import { slantOf } from "../../core/lines";
import { Asked } from "../../parts/Asked";
import { RulesKey } from "../../parts/Degree";
import { useWidth } from "../../parts/useWidth";
import { Link } from "../../shell/router";
import { CellPanel } from "./CellPanel";
import { CheckedCard } from "./CheckedCard";
import { Grid } from "./Grid";
import { Heading } from "./Heading";
import { ProposedAnew } from "./ProposedAnew";
import { ReadAgain } from "./ReadAgain";
import { ScanWindow } from "./ScanWindow";
import { SmallCard } from "./SmallCard";
import { reachOf, rulingOf, startOf, type Spot } from "./spots";
import { useCorrection, type Correction } from "./useCorrection";
import { useTitle } from "../../shell/useTitle";
import "./card.css";

interface CardDeskProps {
  card: string;
  line: string | null;
  field: string | null;
}

export default function CardDesk({ card, line, field }: CardDeskProps) {
  const page = useQuery(cardAsked(card));
  return (
    <Asked of={page} what="the card">
      {(data) => <Card key={`${card} ${line ?? ""} ${field ?? ""}`} page={data} line={line} field={field} />}
    </Asked>
  );
}

const GUTTER = 40;

function Card({ page, line, field }: { page: CardPage; line: string | null; field: string | null }) {
  useTitle(sentence(page.card.label));
  const [spot, setSpot] = useState<Spot>(() => startOf(page, line, field));
  const ruling = useMemo(() => rulingOf(page), [page]);
  const reach = ruling ?? reachOf(page);
  const columns = ruling ? [...ruling.fields] : page.columns;
  const correction = useCorrection();
  const [width, over] = useWidth<HTMLDivElement>();
  const current = page.lines.find((one) => one.line_id === spot.line) ?? page.lines[0];
  const cell = spot.heading ? page.heading[spot.field] : current?.cells[spot.field];
  const scan = page.scans.find((one) => one.sha256 === current?.scan?.sha256 && one.page === current.scan.page) ?? page.scans[0];
  const size: Size<ScanPx> | null = scan ? { w: scanPx(scan.width), h: scanPx(scan.height) } : null;
  const slant = spot.heading || !current ? null : slantOf(current, page.turned);
  const cellBox = boxOf(cell?.box);
  const came = useRef(false);
  useEffect(() => {
    // Who comes from a footnote comes to a line, so the keyboard is put there.
    if (came.current || line === null) return;
    came.current = true;
    const hand = spot.heading ? '.heading [aria-pressed="true"]' : '[role="gridcell"][tabindex="0"]';
    document.querySelector<HTMLElement>(hand)?.focus({ preventScroll: true });
  }, [line]);
  const choose = (next: Spot) => {
    correction.leave();
    setSpot(next);
  };
  return (
    <>
      <Title page={page} component={current?.component_id ?? null} correction={correction} />
      <div className="card-desk">
        <div className="over-scroll">
          <div className="over" ref={over}>
            {scan && size && width > 0 && (
              <ScanWindow
                scan={scan}
                size={size}
                reach={reach}
                gutter={GUTTER}
                width={width - GUTTER}
                line={slant}
                cell={cellBox}
                lines={page.lines}
                choose={(id) => choose({ line: id, field: spot.field, heading: false })}
              />
            )}
            <Heading page={page} spot={spot} choose={choose} correction={correction} />
            {page.lines.length === 0 ? (
              <p>
                {page.scans.length > 0
                  ? "No line of this card has been read yet. Read it now, or type its lines"
                  : "There is neither a scan nor a line of this card. Take a scan of it in on the archive’s first page, or type its lines"}{" "}
                in a spreadsheet and take them in as an evidence package.
              </p>
            ) : (
              <Grid
                page={page}
                columns={columns}
                ruling={ruling}
                reach={reach}
                scan={scan ?? null}
                gutter={GUTTER}
                width={width}
                spot={spot}
                choose={choose}
                correction={correction}
              />
            )}
          </div>
        </div>
        <aside aria-label="The cell in hand">
          {scan && size && <SmallCard scan={scan} size={size} line={slant} />}
          {current && (
            <CellPanel page={page} line={current} field={spot.field} heading={spot.heading} cell={cell} correction={correction} />
          )}
        </aside>
      </div>
      <ProposedAnew cells={correction.proposed} changed={correction.propose} leave={correction.leaveProposed} />
      <RulesKey />
    </>
  );
}

function Title({ page, component, correction }: { page: CardPage; component: string | null; correction: Correction }) {
  return (
    <div className="title card-title">
      <h1>{sentence(page.card.label)}</h1>
      <span className="soft">
        <Link to={{ desk: "sources", source: page.source.source_id }}>{page.source.title}</Link>
        {page.form && `, ${page.form.replace("-", " ")}`}, {counted(page.lines.length, "line")}
      </span>
      {component && <Link to={{ desk: "component", component }}>Open the history that it tells of</Link>}
      <span className="turning">
        {page.previous && (
          <Link to={{ desk: "card", card: page.previous, line: null, field: null }}>Previous card</Link>
        )}
        {page.next && <Link to={{ desk: "card", card: page.next, line: null, field: null }}>Next card</Link>}
        {page.scans.length > 0 && page.lines.length > 0 && <CheckedCard page={page} changed={correction.propose} />}
        {page.scans.length > 0 && <ReadAgain card={page.card.card_id} read={page.card.read} />}
      </span>
      {page.problems.length > 0 && (
        <ul className="wants plain">
          {page.problems.map((problem) => (
            <li key={problem}>{problem}</li>
          ))}
        </ul>
      )}
    </div>
  );
}
