/** The scan above the grid: its columns over the grid's columns, the line and cell in hand marked on it. */
import { useEffect, useRef, useState, type KeyboardEvent, type PointerEvent } from "react";
import { pictureAddress } from "../../api/addresses";
import type { LineView, ScanView } from "../../api/views";
import {
  across,
  glidedTo,
  moved,
  onScreen,
  screenPx,
  scanPx,
  whole,
  zoomed,
  type Box,
  type Lie,
  type ScanPx,
  type Size,
  type ScreenPx,
} from "../../core/geometry";
import { lineBoxOf, type Slant } from "../../core/lines";
import type { Reach } from "./spots";

interface ScanWindowProps {
  scan: ScanView;
  size: Size<ScanPx>;
  reach: Reach | null;
  gutter: number;
  width: number;
  line: Slant | null;
  cell: Box<ScanPx> | null;
  lines: readonly LineView[];
  choose: (line: string) => void;
}

const HEIGHT = 236;
const STEP = 60;

export function ScanWindow({ scan, size, reach, gutter, width, line, cell, lines, choose }: ScanWindowProps) {
  const window_: Size<ScreenPx> = { w: screenPx(width), h: screenPx(HEIGHT) };
  const ruled = (): Lie => (reach ? across(reach.from, reach.to, window_) : across(scanPx(0), size.w, window_));
  const [lie, setLie] = useState<Lie>(ruled);
  const [held, setHeld] = useState(false);
  const target = cell ?? (line && along(line));
  const drag = useRef<{ x: number; y: number; far: number } | null>(null);
  const at = `${scan.sha256} ${scan.page} ${width} ${reach?.from} ${reach?.to}`;
  useEffect(() => {
    const fresh = ruled();
    setLie(target ? glidedTo(target, fresh, size, window_) : fresh);
    // eslint-disable-next-line -- the scan is laid afresh only when it, its ruling or the room changes
  }, [at]);
  useEffect(() => {
    if (target) setLie((now) => glidedTo(target, now, size, window_));
  }, [line?.y, cell?.y]);
  const zoom = (factor: number, x: number = width / 2, y: number = HEIGHT / 2) => {
    const least = whole(size, window_).scale;
    setLie((now) => moved(zoomed(now, factor, screenPx(x), screenPx(y), least, 3), 0, 0, size, window_));
  };
  const pan = (dx: number, dy: number) => setLie((now) => moved(now, dx, dy, size, window_));
  const onKey = (event: KeyboardEvent) => {
    const act = keyActs(pan, zoom, () => setLie(whole(size, window_)))[event.key];
    if (act === undefined || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    act();
  };
  const onMove = (event: PointerEvent) => {
    if (drag.current === null) return;
    const { x, y, far } = drag.current;
    drag.current = { x: event.clientX, y: event.clientY, far: far + Math.abs(event.clientX - x) + Math.abs(event.clientY - y) };
    pan(event.clientX - x, event.clientY - y);
  };
  const onUp = (event: PointerEvent<HTMLDivElement>) => {
    const clicked = drag.current !== null && drag.current.far < 5;
    drag.current = null;
    setHeld(false);
    if (!clicked) return;
    const frame = event.currentTarget.getBoundingClientRect();
    const y = (event.clientY - frame.top - lie.top) / lie.scale;
    const hit = lines.find((one) => {
      const box = lineBoxOf(one);
      return box !== null && y >= box.y - 8 && y <= box.y + box.h + 8;
    });
    if (hit) choose(hit.line_id);
  };
  return (
    <div className="scan" style={{ marginLeft: gutter }}>
      <div
        className="scan-window"
        role="group"
        tabIndex={0}
        aria-label="The scan. The arrows move it, plus and minus bring it closer or farther, 0 shows all of it."
        style={{ height: HEIGHT }}
        data-held={held || undefined}
        onKeyDown={onKey}
        onPointerDown={(event) => {
          if (event.button !== 0) return;
          drag.current = { x: event.clientX, y: event.clientY, far: 0 };
          event.currentTarget.setPointerCapture(event.pointerId);
          setHeld(true);
        }}
        onPointerMove={onMove}
        onPointerUp={onUp}
        onPointerCancel={() => {
          drag.current = null;
          setHeld(false);
        }}
      >
        <img
          alt={`The scan ${scan.name}, page ${scan.page}`}
          draggable={false}
          src={pictureAddress(scan, 2000)}
          style={{ width: size.w * lie.scale, height: size.h * lie.scale, transform: `translate(${lie.left}px, ${lie.top}px)` }}
        />
        {line && <Mark slant={line} lie={lie} kind="line" />}
        {cell && <Mark slant={upright(cell)} lie={lie} kind="cell" />}
      </div>
      <p className="scan-ways small">
        <button className="quiet" onClick={() => zoom(1.25)}>
          Closer
        </button>
        <button className="quiet" onClick={() => zoom(0.8)}>
          Farther
        </button>
        <button className="quiet" onClick={() => setLie(whole(size, window_))}>
          The whole card
        </button>
        <button className="quiet" onClick={() => setLie(target ? glidedTo(target, ruled(), size, window_) : ruled())}>
          Over the columns
        </button>
      </p>
    </div>
  );
}

function keyActs(
  pan: (dx: number, dy: number) => void,
  zoom: (factor: number) => void,
  home: () => void,
): Readonly<Record<string, () => void>> {
  return {
    ArrowLeft: () => pan(STEP, 0),
    ArrowRight: () => pan(-STEP, 0),
    ArrowUp: () => pan(0, STEP),
    ArrowDown: () => pan(0, -STEP),
    "+": () => zoom(1.25),
    "=": () => zoom(1.25),
    "-": () => zoom(0.8),
    "0": home,
  };
}

/** A slant as a box of its middle, to glide to. */
const along = ({ x, y, length, height }: Slant): Box<ScanPx> => ({
  x: scanPx(x - length / 2),
  y: scanPx(y - height / 2),
  w: length,
  h: height,
});

const upright = ({ x, y, w, h }: Box<ScanPx>): Slant => ({
  x: scanPx(x + w / 2),
  y: scanPx(y + h / 2),
  length: w,
  height: h,
  turned: 0,
});

function Mark({ slant, lie, kind }: { slant: Slant; lie: Lie; kind: "line" | "cell" }) {
  const { x, y, w, h } = onScreen(along(slant), lie);
  const room = kind === "line" ? 4 : 3;
  return (
    <span
      className={`mark mark-${kind}`}
      style={{
        transform: `translate(${x - room}px, ${y - room}px) rotate(${slant.turned}deg)`,
        width: w + 2 * room,
        height: h + 2 * room,
      }}
    />
  );
}
