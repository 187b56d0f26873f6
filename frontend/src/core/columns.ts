/** The columns of a card on the screen: what they are called, and how wide each is under the scan. */
import { scanPx, type Box, type ScanPx } from "./geometry";

const WORDS: Readonly<Record<string, string>> = {
  heading: "Heading",
  heading_name: "Name",
  engine: "Engine",
  engine_name: "Engine’s name",
  component: "Component",
  fitted: "Fitted",
  removed: "Removed",
  miles: "Miles",
  total_miles: "Total miles",
  place: "Place",
  remarks: "Remarks",
};

const ORDER = Object.keys(WORDS);

/** What a column of a form may hold, by field, and what that is called. */
export const HEADINGS: Readonly<Record<string, string>> = Object.fromEntries(
  Object.entries(WORDS).filter(([field]) => field !== "heading" && field !== "heading_name"),
);

/** What a column is called; one that the program does not know keeps its printed title. */
export function columnWord(field: string): string {
  return WORDS[field] ?? field;
}

/** Whether figures stand in a column, so that they line up on the unit. */
export function isFigures(field: string): boolean {
  return field === "miles" || field === "total_miles";
}

/** The columns in which anything stands, in the order of a register line. */
export function columnsOf(lines: readonly { cells: Readonly<Record<string, unknown>> }[]): string[] {
  const seen = new Set(lines.flatMap((line) => Object.keys(line.cells)));
  const place = (field: string) => (ORDER.includes(field) ? ORDER.indexOf(field) : ORDER.length);
  return [...seen].sort((a, b) => place(a) - place(b) || a.localeCompare(b));
}

export interface Ruling {
  readonly fields: readonly string[];
  /** Where the first column begins and the last ends, on the scan. */
  readonly from: ScanPx;
  readonly to: ScanPx;
  /** The share of the width that each column takes; they add up to 1. */
  readonly shares: readonly number[];
}

/**
 * Columns ruled where the scan's own columns are: each edge stands midway between the ink on either
 * side of it. Null where too few cells have a place on the scan to say.
 *
 * `boxes` gives, for each column, the boxes of its cells; the order comes back as it is on the scan.
 */
export function ruledAs(boxes: ReadonlyMap<string, readonly Box<ScanPx>[]>): Ruling | null {
  const spans = [...boxes]
    .filter(([, of]) => of.length > 0)
    .map(([field, of]) => ({
      field,
      left: lower(of.map((box) => box.x)),
      right: upper(of.map((box) => box.x + box.w)),
    }))
    .sort((a, b) => a.left + a.right - b.left - b.right);
  const first = spans[0];
  const last = spans.at(-1);
  if (first === undefined || last === undefined || spans.length < 2 || spans.length < boxes.size) return null;
  const edges = spans.slice(1).map((span, nth) => ((spans[nth]?.right ?? 0) + span.left) / 2);
  const margin = 16;
  const bounds = [first.left - margin, ...edges, last.right + margin];
  const total = (bounds.at(-1) ?? 0) - (bounds[0] ?? 0);
  const shares = bounds.slice(1).map((edge, nth) => (edge - (bounds[nth] ?? 0)) / total);
  if (shares.some((share) => share < 0.02)) return null;
  return { fields: spans.map((span) => span.field), from: scanPx(bounds[0] ?? 0), to: scanPx(bounds.at(-1) ?? 0), shares };
}

function ranked(numbers: readonly number[], share: number): number {
  const sorted = [...numbers].sort((a, b) => a - b);
  return sorted[Math.round((sorted.length - 1) * share)] ?? 0;
}

// One stray stroke must not move a column, so the outermost tenth on either side does not count.
const lower = (numbers: readonly number[]) => ranked(numbers, 0.1);
const upper = (numbers: readonly number[]) => ranked(numbers, 0.9);
