/**
 * Places on a scan and on the screen, which must never be taken for each other: a number is either
 * pixels of the scan (its orientation applied) or pixels of the screen, and the compiler knows which.
 */

declare const unit: unique symbol;
export type ScanPx = number & { readonly [unit]: "scan" };
export type ScreenPx = number & { readonly [unit]: "screen" };

/** Say that a number counts pixels of the scan. */
export const scanPx = (value: number): ScanPx => value as ScanPx;
/** Say that a number counts pixels of the screen. */
export const screenPx = (value: number): ScreenPx => value as ScreenPx;

export interface Box<Px extends number> {
  readonly x: Px;
  readonly y: Px;
  readonly w: Px;
  readonly h: Px;
}

export interface Size<Px extends number> {
  readonly w: Px;
  readonly h: Px;
}

/** How a scan lies in a window of the screen: its scale, and where its upper left corner is. */
export interface Lie {
  /** Screen pixels for one pixel of the scan. */
  readonly scale: number;
  readonly left: ScreenPx;
  readonly top: ScreenPx;
}

/** A box as the program's interface gives it, `[x, y, width, height]`. */
export function boxOf(numbers: readonly number[] | null | undefined): Box<ScanPx> | null {
  const [x, y, w, h] = numbers ?? [];
  if (x === undefined || y === undefined || w === undefined || h === undefined) return null;
  return { x: scanPx(x), y: scanPx(y), w: scanPx(w), h: scanPx(h) };
}

/** Where a box of the scan stands on the screen. */
export function onScreen(box: Box<ScanPx>, lie: Lie): Box<ScreenPx> {
  return {
    x: screenPx(box.x * lie.scale + lie.left),
    y: screenPx(box.y * lie.scale + lie.top),
    w: screenPx(box.w * lie.scale),
    h: screenPx(box.h * lie.scale),
  };
}

/** The whole scan in the window, in its middle, never larger than it is. */
export function whole(scan: Size<ScanPx>, window: Size<ScreenPx>): Lie {
  const scale = Math.min(window.w / scan.w, window.h / scan.h, 1);
  return {
    scale,
    left: screenPx((window.w - scan.w * scale) / 2),
    top: screenPx((window.h - scan.h * scale) / 2),
  };
}

/** The part of the scan from `from` to `to` across over the whole width of the window. */
export function across(from: ScanPx, to: ScanPx, window: Size<ScreenPx>): Lie {
  const scale = window.w / Math.max(to - from, 1);
  return { scale, left: screenPx(-from * scale), top: screenPx(0) };
}

/** Larger or smaller by `factor`, with the point of the screen that is under the hand held still. */
export function zoomed(lie: Lie, factor: number, x: ScreenPx, y: ScreenPx, least: number, most: number): Lie {
  const scale = Math.min(Math.max(lie.scale * factor, least), most);
  const grown = scale / lie.scale;
  return { scale, left: screenPx(x - (x - lie.left) * grown), top: screenPx(y - (y - lie.top) * grown) };
}

/** Moved, but never so far that the scan leaves the window. */
export function moved(lie: Lie, dx: number, dy: number, scan: Size<ScanPx>, window: Size<ScreenPx>): Lie {
  return {
    scale: lie.scale,
    left: kept(lie.left + dx, scan.w * lie.scale, window.w),
    top: kept(lie.top + dy, scan.h * lie.scale, window.h),
  };
}

/** Glided up or down until a box stands at `share` of the window's height; across it stays where it is. */
export function glidedTo(
  box: Box<ScanPx>,
  lie: Lie,
  scan: Size<ScanPx>,
  window: Size<ScreenPx>,
  share = 0.5,
): Lie {
  const middle = (box.y + box.h / 2) * lie.scale;
  return { ...lie, top: kept(window.h * share - middle, scan.h * lie.scale, window.h) };
}

function kept(offset: number, length: number, room: number): ScreenPx {
  if (length <= room) return screenPx(Math.min(Math.max(offset, 0), room - length));
  return screenPx(Math.min(Math.max(offset, room - length), 0));
}

/** The smallest box that holds all the boxes; null of none. */
export function hull<Px extends number>(boxes: readonly Box<Px>[]): Box<Px> | null {
  if (boxes.length === 0) return null;
  const x = Math.min(...boxes.map((box) => box.x));
  const y = Math.min(...boxes.map((box) => box.y));
  const right = Math.max(...boxes.map((box) => box.x + box.w));
  const foot = Math.max(...boxes.map((box) => box.y + box.h));
  return { x, y, w: right - x, h: foot - y } as Box<Px>;
}
