/** How the scan lies in its window: it glides to the line in hand, and goes where it is moved. */
import { useEffect, useState } from "react";
import {
  across,
  glidedTo,
  moved,
  scanPx,
  screenPx,
  whole,
  zoomed,
  type Box,
  type Lie,
  type ScanPx,
  type ScreenPx,
  type Size,
} from "../../core/geometry";
import type { Reach } from "./spots";

const LARGEST = 3;

export interface Lying {
  readonly lie: Lie;
  readonly zoom: (factor: number) => void;
  readonly pan: (dx: number, dy: number) => void;
  readonly showWhole: () => void;
  readonly overColumns: () => void;
}

/** `target` is what the window glides to; `scan` names the scan, so that another one is laid afresh. */
export function useLie(
  scan: string,
  size: Size<ScanPx>,
  room: Size<ScreenPx>,
  reach: Reach | null,
  target: Box<ScanPx> | null,
): Lying {
  const ruled = (): Lie => {
    const fresh = across(reach?.from ?? scanPx(0), reach?.to ?? size.w, room);
    return target ? glidedTo(target, fresh, size, room) : fresh;
  };
  const [lie, setLie] = useState<Lie>(ruled);
  useEffect(() => setLie(ruled()), [scan, room.w, reach?.from, reach?.to]);
  useEffect(() => {
    if (target) setLie((now) => glidedTo(target, now, size, room));
  }, [target?.y]);
  const middle = [screenPx(room.w / 2), screenPx(room.h / 2)] as const;
  const least = whole(size, room).scale;
  return {
    lie,
    zoom: (factor) => setLie((now) => moved(zoomed(now, factor, ...middle, least, LARGEST), 0, 0, size, room)),
    pan: (dx, dy) => setLie((now) => moved(now, dx, dy, size, room)),
    showWhole: () => setLie(whole(size, room)),
    overColumns: () => setLie(ruled()),
  };
}
