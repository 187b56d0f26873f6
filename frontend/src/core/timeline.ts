/**
 * The life of a component laid out on paper: time from left to right, one engine one lane, the component
 * one thread. Pure arithmetic; `parts/Timeline.tsx` draws it.
 */
import type { Degree } from "./degrees";
import { newYear, yearOf } from "./days";

/** One stay, in counted days; null where nothing bounds it. `low`, `value`, `high` are its miles. */
export interface Stay {
  readonly engine: string;
  readonly label: string;
  readonly degree: Degree;
  readonly fitted: readonly [number | null, number | null];
  readonly removed: readonly [number | null, number | null];
  readonly value: number | null;
  readonly low: number | null;
  readonly high: number | null;
}

export interface Axis {
  readonly from: number;
  readonly to: number;
  readonly width: number;
  readonly ticks: readonly { readonly x: number; readonly year: number }[];
}

export interface Stretch {
  readonly lane: number;
  /** 0, or 1 where it stands beside another thread on the same lane. */
  readonly beside: number;
  readonly degree: Degree;
  /** The frayed beginning, the sure middle, the frayed end: four places from left to right. */
  readonly x: readonly [number, number, number, number];
  readonly nth: number;
}

export interface Span {
  readonly from: number;
  readonly to: number;
}

export interface Layout {
  readonly axis: Axis;
  readonly lanes: readonly { readonly engine: string; readonly label: string }[];
  readonly stretches: readonly Stretch[];
  /** Between two stays in order: the thread's way from one lane to the next. */
  readonly passages: readonly { readonly from: number; readonly to: number; readonly lanes: readonly [number, number] }[];
  readonly gaps: readonly Span[];
  readonly overlaps: readonly Span[];
}

/** An axis from day to day over a width, with a tick at the round years. */
export function axisOf(from: number, to: number, width: number): Axis {
  const first = newYear(yearOf(from));
  const last = newYear(yearOf(to) + 1);
  const years = yearOf(last) - yearOf(first);
  const room = Math.max(width / 56, 1);
  const step = [1, 2, 5, 10, 20, 50].find((years_) => years / years_ <= room) ?? 100;
  const place = (day: number) => ((day - first) / (last - first)) * width;
  const ticks = [];
  for (let year = Math.ceil(yearOf(first) / step) * step; year <= yearOf(last); year += step)
    ticks.push({ x: place(newYear(year)), year });
  return { from: first, to: last, width, ticks };
}

/** Where a day stands on the axis. */
export function placeOn(axis: Axis, day: number): number {
  const x = ((day - axis.from) / (axis.to - axis.from)) * axis.width;
  return Math.min(Math.max(x, 0), axis.width);
}

/** Lay out stays, in their order, with the gaps and overlaps that findings speak of (counted days). */
export function layOut(
  stays: readonly Stay[],
  width: number,
  gaps: readonly Span[] = [],
  overlaps: readonly Span[] = [],
): Layout | null {
  const days = [...stays.flatMap((stay) => [...stay.fitted, ...stay.removed]), ...gaps.flatMap((g) => [g.from, g.to])];
  const known = days.filter((day): day is number => day !== null);
  if (known.length === 0) return null;
  const axis = axisOf(Math.min(...known), Math.max(...known), width);
  const lanes = lanesOf(stays);
  const stretches = besides(stays.map((stay, nth) => stretchOf(stay, nth, lanes, axis)));
  const onAxis = ({ from, to }: Span): Span => ({ from: placeOn(axis, from), to: placeOn(axis, to) });
  const open = gaps.map(onAxis);
  return { axis, lanes, stretches, passages: passagesOf(stretches, open), gaps: open, overlaps: overlaps.map(onAxis) };
}

function lanesOf(stays: readonly Stay[]): { engine: string; label: string }[] {
  const lanes = new Map<string, string>();
  for (const stay of stays) if (!lanes.has(stay.engine)) lanes.set(stay.engine, stay.label);
  return [...lanes].map(([engine, label]) => ({ engine, label }));
}

function stretchOf(stay: Stay, nth: number, lanes: readonly { engine: string }[], axis: Axis): Stretch {
  const [fittedFrom, fittedTo] = stay.fitted;
  const [removedFrom, removedTo] = stay.removed;
  const begin = fittedFrom ?? axis.from;
  const end = removedTo ?? axis.to;
  const sure = Math.max(fittedTo ?? begin, begin);
  const places = [begin, sure, Math.max(removedFrom ?? end, sure), Math.max(end, removedFrom ?? end, sure)];
  const [a = 0, b = 0, c = 0, d = 0] = places.map((day) => placeOn(axis, day));
  return { lane: lanes.findIndex((lane) => lane.engine === stay.engine), beside: 0, degree: stay.degree, x: [a, b, c, d], nth };
}

function besides(stretches: readonly Stretch[]): Stretch[] {
  const laid: Stretch[] = [];
  for (const stretch of stretches) {
    const other = laid.findLast((earlier) => earlier.lane === stretch.lane && earlier.beside === 0);
    const meets = other !== undefined && stretch.x[1] < other.x[2] - 1;
    laid.push(meets ? { ...stretch, beside: 1 } : stretch);
  }
  return laid;
}

function passagesOf(stretches: readonly Stretch[], gaps: readonly Span[]): Layout["passages"] {
  const passages = [];
  for (const [nth, next] of stretches.slice(1).entries()) {
    const last = stretches[nth];
    if (last === undefined) continue;
    const [from, to] = [last.x[3], next.x[0]];
    const known = !gaps.some((gap) => gap.from < to && gap.to > from);
    if (known && last.lane !== next.lane && to >= from) passages.push({ from, to, lanes: [last.lane, next.lane] as const });
  }
  return passages;
}

/** A point of the growing miles: supported so far, and the range they lie in. */
export interface MilesPoint {
  readonly x: number;
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/** The miles as they grow along the axis. An estimate widens the band and never adds to the figure. */
export function milesAlong(stays: readonly Stay[], axis: Axis): MilesPoint[] {
  let [value, low, high] = [0, 0, 0];
  const points: MilesPoint[] = [];
  let reached = 0;
  for (const stay of stays) {
    const begin = stay.fitted[0] ?? stay.fitted[1];
    const end = stay.removed[1] ?? stay.removed[0] ?? (begin === null ? null : axis.to);
    if (begin === null || end === null) continue;
    // Where two stays overlap the later one's miles are drawn from where the first left off.
    const from = Math.max(placeOn(axis, begin), reached);
    reached = Math.max(placeOn(axis, end), from);
    points.push({ x: from, value, low, high });
    value += stay.value ?? 0;
    low += stay.low ?? stay.value ?? 0;
    high += stay.high ?? stay.value ?? 0;
    points.push({ x: reached, value, low, high });
  }
  return points;
}

/** Round figures for a scale of miles, from 0 up to `most`, five of them or fewer. */
export function milesTicks(most: number): number[] {
  if (most <= 0) return [0];
  const rough = most / 4;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((n) => n * power).find((n) => n >= rough) ?? power * 10;
  return Array.from({ length: Math.floor(most / step) + 1 }, (_, nth) => nth * step);
}
