/** The scan above the grid: its columns over the grid's columns, the line and cell in hand marked on it. */
import type { KeyboardEvent } from "react";
import { pictureAddress } from "../../api/addresses";
import type { LineView, ScanView } from "../../api/views";
import { onScreen, scanPx, screenPx, type Box, type Lie, type ScanPx, type Size } from "../../core/geometry";
import { lineBoxOf, type Slant } from "../../core/lines";
import type { Reach } from "./spots";
import { useDrag } from "./useDrag";
import { useLie, type Lying } from "./useLie";

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
const CLOSER = 1.25;
const FARTHER = 0.8;

export function ScanWindow({ scan, size, reach, gutter, width, line, cell, lines, choose }: ScanWindowProps) {
  const target = cell ?? (line && along(line));
  const room = { w: screenPx(width), h: screenPx(HEIGHT) };
  const lying = useLie(`${scan.sha256} ${scan.page}`, size, room, reach, target);
  const { lie, pan } = lying;
  const [held, dragging] = useDrag(pan, (_, y) => {
    const hit = lineAt(lines, (y - lie.top) / lie.scale);
    if (hit) choose(hit.line_id);
  });
  const onKey = (event: KeyboardEvent) => {
    const act = keyActs(lying)[event.key];
    if (act === undefined || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    act();
  };
  return (
    <div style={{ marginLeft: gutter }}>
      <div
        className="scan-window"
        role="group"
        tabIndex={0}
        aria-label="The scan. The arrows move it, plus and minus bring it closer or farther, 0 shows all of it."
        style={{ height: HEIGHT }}
        data-held={held || undefined}
        onKeyDown={onKey}
        {...dragging}
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
      <Ways lying={lying} />
    </div>
  );
}

function Ways({ lying }: { lying: Lying }) {
  return (
    <p className="scan-ways small">
      <button className="quiet" onClick={() => lying.zoom(CLOSER)}>
        Closer
      </button>
      <button className="quiet" onClick={() => lying.zoom(FARTHER)}>
        Farther
      </button>
      <button className="quiet" onClick={lying.showWhole}>
        The whole card
      </button>
      <button className="quiet" onClick={lying.overColumns}>
        Over the columns
      </button>
    </p>
  );
}

function keyActs({ pan, zoom, showWhole }: Lying): Readonly<Record<string, () => void>> {
  return {
    ArrowLeft: () => pan(STEP, 0),
    ArrowRight: () => pan(-STEP, 0),
    ArrowUp: () => pan(0, STEP),
    ArrowDown: () => pan(0, -STEP),
    "+": () => zoom(CLOSER),
    "=": () => zoom(CLOSER),
    "-": () => zoom(FARTHER),
    "0": showWhole,
  };
}

/** The line at a height of the scan, if one is there. */
function lineAt(lines: readonly LineView[], y: number): LineView | undefined {
  return lines.find((line) => {
    const box = lineBoxOf(line);
    return box !== null && y >= box.y - 8 && y <= box.y + box.h + 8;
  });
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
