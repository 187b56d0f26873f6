/** The reliability diagram: groups of cells side by side, what was said of them under what was found. */
import type { ReliabilityView } from "../api/views";

export interface GroupMark {
  /** 'read with .93 to .96', as a label under the group. */
  readonly label: string;
  readonly x: number;
  /** Where what was said, what was found, and the ends of its range lie, in pixels from the top. */
  readonly said: number;
  readonly found: number;
  readonly top: number;
  readonly foot: number;
}

export interface Diagram {
  readonly groups: readonly GroupMark[];
  readonly ticks: readonly { readonly percent: number; readonly y: number }[];
}

/** A share as clerks of figures write it: .93. */
export const asShare = (p: number) => (p >= 1 ? "1" : p.toFixed(2).replace(/^0/, ""));

/** The diagram in a frame of `width` by `height` pixels; it begins at the ten below the lowest value shown. */
export function diagramOf({ groups }: ReliabilityView, width: number, height: number): Diagram {
  const lowest = Math.min(0.9, ...groups.map((one) => Math.min(one.at_least, one.mean)));
  const floor = Math.max(0, Math.floor(lowest * 10) / 10);
  const y = (share: number) => height - ((share - floor) / (1 - floor)) * height;
  const step = width / Math.max(groups.length, 1);
  const tens = 1 - floor > 0.45 ? 20 : 1 - floor > 0.15 ? 10 : 5;
  const ticks = [];
  for (let percent = 100; percent >= floor * 100 - 0.5; percent -= tens) ticks.push({ percent, y: y(percent / 100) });
  return {
    ticks,
    groups: groups.map((one, nth) => ({
      label: `${asShare(one.low)}–${asShare(one.high)}`,
      x: step * (nth + 0.5),
      said: y(one.mean),
      found: y(one.share),
      top: y(one.at_most),
      foot: y(one.at_least),
    })),
  };
}
