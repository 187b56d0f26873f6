/** Which cell of a card is in hand, and how the columns are ruled. */
import type { CardPage } from "../../api/views";
import { ruledAs, type Ruling } from "../../core/columns";
import { lineBoxOf } from "../../core/lines";
import { boxOf, hull, scanPx, type Box, type ScanPx } from "../../core/geometry";

export interface Reach {
  readonly from: ScanPx;
  readonly to: ScanPx;
}

export interface Spot {
  readonly line: string;
  readonly field: string;
  /** The cell stands in the heading of the card; `line` is then the first line. */
  readonly heading: boolean;
}

/** Where the hand is first: the cell that was asked for, else the first. */
export function startOf(page: CardPage, line: string | null, field: string | null): Spot {
  const asked = page.lines.find((one) => one.line_id === line) ?? page.lines[0];
  const inHeading = field !== null && !page.columns.includes(field) && field in page.heading;
  if (inHeading) return { line: asked?.line_id ?? "", field, heading: true };
  const column = field !== null && page.columns.includes(field) ? field : (page.columns[0] ?? "");
  return { line: asked?.line_id ?? "", field: column, heading: false };
}

/** The columns ruled as on the scan, where enough cells have a place on it. */
export function rulingOf(page: CardPage): Ruling | null {
  const boxes = new Map<string, Box<ScanPx>[]>(page.columns.map((field) => [field, []]));
  for (const line of page.lines)
    for (const field of page.columns) {
      const box = boxOf(line.cells[field]?.box);
      if (box) boxes.get(field)?.push(box);
    }
  return ruledAs(boxes);
}

/** How far across the writing goes on the scan, where nothing says where its columns are. */
export function reachOf(page: CardPage): Reach | null {
  const all = hull(page.lines.flatMap((line) => lineBoxOf(line) ?? []));
  return all && { from: scanPx(all.x - 20), to: scanPx(all.x + all.w + 20) };
}

/** The name by which a decision speaks of a cell. */
export function targetOf(spot: Spot): string {
  return `${spot.line}/${spot.field}`;
}
