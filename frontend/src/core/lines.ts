/** Where a line of a card stands on its scan. */
import { boxOf, hull, scanPx, type Box, type ScanPx } from "./geometry";

interface Placed {
  readonly box: readonly number[] | null;
  readonly cells: Readonly<Record<string, { readonly text: string; readonly box: readonly number[] | null }>>;
}

/**
 * The hull of the inked cells of a line, those of the heading left out; where no cell has a place of its
 * own, the place of the whole line. (The first line of a card also carries the card's heading, which would
 * draw the box up to the head of the card.)
 */
export function lineBoxOf(line: Placed): Box<ScanPx> | null {
  const inked = Object.entries(line.cells).flatMap(([field, cell]) => {
    const box = field.startsWith("heading") || cell.text === "" ? null : boxOf(cell.box);
    return box ? [box] : [];
  });
  return hull(inked) ?? boxOf(line.box);
}

/** A line on a card that lies aslant: its middle, its length, the height of its writing, and its slant. */
export interface Slant {
  readonly x: ScanPx;
  readonly y: ScanPx;
  readonly length: ScanPx;
  readonly height: ScanPx;
  /** Degrees clockwise. */
  readonly turned: number;
}

/**
 * The line along the slant of its card. The hull of a line on a card that lies aslant takes in its
 * neighbours; the height of the writing is that of its tallest cell.
 */
export function slantOf(line: Placed, turned: number): Slant | null {
  const box = lineBoxOf(line);
  if (box === null) return null;
  const cells = Object.entries(line.cells).flatMap(([field, cell]) => {
    const own = field.startsWith("heading") || cell.text === "" ? null : boxOf(cell.box);
    return own ? [own.h] : [];
  });
  const heights = cells.sort((a, b) => a - b);
  const usual = heights[Math.floor(heights.length / 2)] ?? box.h;
  // A figure typed over a struck one is tall and must be seen whole, but no taller than two lines.
  const tall = Math.min(heights.at(-1) ?? box.h, 2 * usual);
  const height = Math.abs(turned) < 0.3 ? box.h : tall;
  return { x: scanPx(box.x + box.w / 2), y: scanPx(box.y + box.h / 2), length: box.w, height: scanPx(height), turned };
}
