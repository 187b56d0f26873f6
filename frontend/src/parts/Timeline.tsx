/** The component's life drawn: one engine one lane, the component one thread, its miles beneath. */
import { figure } from "../core/days";
import { layOut, milesAlong, milesTicks, type Layout, type MilesPoint, type Span, type Stay } from "../core/timeline";
import { useWidth } from "./useWidth";

const LANE = 25;
const TOP = 26;
const GAP_LANE = 30;
const MILES = 78;

interface TimelineProps {
  stays: readonly Stay[];
  gaps: readonly Span[];
  overlaps: readonly Span[];
  /** The drawing in one sentence; the table beneath has all of it. */
  says: string;
  chosen: number | null;
  choose: (nth: number) => void;
}

export function Timeline({ stays, gaps, overlaps, says, chosen, choose }: TimelineProps) {
  const [room, frame] = useWidth<HTMLElement>();
  const margin = room < 600 ? 92 : 168;
  const scale = room < 600 ? 8 : 64;
  const layout = layOut(stays, Math.max(room - margin - scale, 160), gaps, overlaps);
  return (
    <figure className="timeline" ref={frame}>
      {layout && room > 0 && (
        <svg width={room} height={heightOf(layout)} role="img" aria-label={says}>
          <Hatching />
          <g transform={`translate(${margin} 0)`}>
            <Years layout={layout} />
            <Overlaps layout={layout} />
            <Lanes layout={layout} margin={margin} />
            <Gaps layout={layout} />
            <Passages layout={layout} />
            {layout.stretches.map((stretch) => (
              <Thread
                key={stretch.nth}
                stretch={stretch}
                chosen={stretch.nth === chosen}
                choose={() => choose(stretch.nth)}
              />
            ))}
            <Miles layout={layout} points={milesAlong(stays, layout.axis)} margin={margin} />
          </g>
        </svg>
      )}
    </figure>
  );
}

const lanesFoot = (layout: Layout) => TOP + layout.lanes.length * LANE;
const milesHead = (layout: Layout) => lanesFoot(layout) + (layout.gaps.length > 0 ? GAP_LANE : 0) + 22;
const heightOf = (layout: Layout) => milesHead(layout) + MILES + 8;
const laneMiddle = (lane: number) => TOP + lane * LANE + LANE / 2;

function Hatching() {
  return (
    <defs>
      <pattern id="nothing-known" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
        <line x1="0" y1="0" x2="0" y2="6" className="hatch" />
      </pattern>
    </defs>
  );
}

function Years({ layout }: { layout: Layout }) {
  const foot = heightOf(layout) - 8;
  return (
    <g className="years">
      {layout.axis.ticks.map(({ x, year }) => (
        <g key={year}>
          <line x1={x} x2={x} y1={TOP - 6} y2={foot} />
          <text x={x} y={14} textAnchor={x > layout.axis.width - 20 ? "end" : x < 16 ? "start" : "middle"}>
            {year}
          </text>
        </g>
      ))}
    </g>
  );
}

function Lanes({ layout, margin }: { layout: Layout; margin: number }) {
  return (
    <g className="lanes">
      {layout.lanes.map((lane, nth) => (
        <g key={lane.engine}>
          <line x1={-margin} x2={layout.axis.width} y1={TOP + (nth + 1) * LANE} y2={TOP + (nth + 1) * LANE} />
          <text x={-margin} y={laneMiddle(nth) + 5}>
            {margin < 100 ? shortened(lane.label, 12) : shortened(lane.label, 27)}
          </text>
        </g>
      ))}
    </g>
  );
}

const shortened = (label: string, most: number) => (label.length > most ? `${label.slice(0, most - 1)}…` : label);

function Gaps({ layout }: { layout: Layout }) {
  const y = lanesFoot(layout) + 7;
  return (
    <g className="gaps">
      {layout.gaps.map(({ from, to }) => (
        <g key={from}>
          <rect x={from} width={Math.max(to - from, 3)} y={y} height={GAP_LANE - 14} fill="url(#nothing-known)" />
          <path d={`M${from} ${laneEnd(layout, from)}V${y}M${to} ${laneEnd(layout, to)}V${y}`} />
          <text
            x={to + 8 + 90 > layout.axis.width ? from - 6 : to + 6}
            textAnchor={to + 98 > layout.axis.width ? "end" : "start"}
            y={y + 13}
          >
            nothing known
          </text>
        </g>
      ))}
    </g>
  );
}

/** How high a gap's edge reaches: to the lane of the stay that ends or begins nearest to it. */
function laneEnd(layout: Layout, x: number): number {
  const near = [...layout.stretches].sort(
    (a, b) => Math.min(Math.abs(a.x[3] - x), Math.abs(a.x[0] - x)) - Math.min(Math.abs(b.x[3] - x), Math.abs(b.x[0] - x)),
  )[0];
  return near === undefined ? lanesFoot(layout) : laneMiddle(near.lane);
}

function Overlaps({ layout }: { layout: Layout }) {
  return (
    <g className="overlaps">
      {layout.overlaps.map(({ from, to }) => (
        <g key={from}>
          <rect x={from} width={Math.max(to - from, 3)} y={TOP - 6} height={lanesFoot(layout) - TOP + 6} />
          <text x={Math.min(from + 3, layout.axis.width - 48)} y={lanesFoot(layout) + 16}>
            overlap
          </text>
        </g>
      ))}
    </g>
  );
}

function Passages({ layout }: { layout: Layout }) {
  return (
    <g className="passages">
      {layout.passages.map(({ from, to, lanes }, nth) => (
        <line key={nth} x1={from} y1={laneMiddle(lanes[0])} x2={Math.max(to, from)} y2={laneMiddle(lanes[1])} />
      ))}
    </g>
  );
}

interface ThreadProps {
  stretch: Layout["stretches"][number];
  chosen: boolean;
  choose: () => void;
}

function Thread({ stretch, chosen, choose }: ThreadProps) {
  const [a, b, c, d] = stretch.x;
  const y = laneMiddle(stretch.lane) + (stretch.beside === 1 ? 6 : 0);
  const frays = [-4, 0, 4];
  return (
    <g className="thread" data-degree={stretch.degree} data-chosen={chosen || undefined} onClick={choose}>
      <rect className="reach" x={a - 3} width={Math.max(d - a, 2) + 6} y={y - LANE / 2 + 1} height={LANE - 2} />
      {stretch.degree === "contradicted" ? (
        <path className="strand" d={wave(b, c, y)} />
      ) : (
        <line className="strand" x1={b} x2={Math.max(c, b + 1)} y1={y} y2={y} />
      )}
      {b - a > 1.5 && frays.map((to) => <line className="fray" key={`a${to}`} x1={b} y1={y} x2={a} y2={y + to} />)}
      {d - c > 1.5 && frays.map((to) => <line className="fray" key={`d${to}`} x1={c} y1={y} x2={d} y2={y + to} />)}
    </g>
  );
}

function wave(from: number, to: number, y: number): string {
  const steps = Math.max(Math.round((to - from) / 5), 1);
  const step = (to - from) / steps;
  const bends = Array.from({ length: steps }, (_, nth) => `q${step / 2} ${nth % 2 === 0 ? -5 : 5} ${step} 0`);
  return `M${from} ${y}${bends.join("")}`;
}

function Miles({ layout, points, margin }: { layout: Layout; points: readonly MilesPoint[]; margin: number }) {
  const most = Math.max(...points.map((point) => point.high), 1);
  const head = milesHead(layout);
  const y = (miles: number) => head + MILES - (miles / most) * MILES;
  const line = points.map((point, nth) => `${nth === 0 ? "M" : "L"}${point.x} ${y(point.value)}`).join("");
  const band = [
    ...points.map((point) => `${point.x} ${y(point.high)}`),
    ...[...points].reverse().map((point) => `${point.x} ${y(point.low)}`),
  ].join("L");
  return (
    <g className="miles">
      <text x={-margin} y={head + MILES - 2}>
        {margin < 100 ? "Miles" : "Supported miles"}
      </text>
      {milesTicks(most).map((tick) => (
        <g key={tick}>
          <line x1={0} x2={layout.axis.width} y1={y(tick)} y2={y(tick)} />
          {margin > 100 && (
            <text x={layout.axis.width + 60} y={y(tick) + 4} textAnchor="end">
              {figure(tick)}
            </text>
          )}
        </g>
      ))}
      {points.length > 0 && <path className="band" d={`M${band}Z`} />}
      <path className="sum" d={line} />
    </g>
  );
}
