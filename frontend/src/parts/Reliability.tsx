/** How far confidence can be trusted: what was said of cells beside what was found when they were checked. */
import type { ReliabilityView } from "../api/views";
import { counted } from "../core/days";
import { asShare, diagramOf } from "../core/reliability";

const WIDTH = 460;
const HEIGHT = 190;
const LEFT = 52;
const TOP = 12;

export function Reliability({ told }: { told: ReliabilityView }) {
  const { groups, ticks } = diagramOf(told, WIDTH, HEIGHT);
  return (
    <figure className="reliability">
      <div className="scrolls" role="region" aria-label="Diagram of confidence" tabIndex={0}>
        <svg width={LEFT + WIDTH + 8} height={TOP + HEIGHT + 44} role="img" aria-label={inWords(told)}>
          <g transform={`translate(${LEFT} ${TOP})`}>
            {ticks.map((tick) => (
              <g key={tick.percent}>
                <line className="tick" x1={0} x2={WIDTH} y1={tick.y} y2={tick.y} />
                <text x={-8} y={tick.y + 4} textAnchor="end">
                  {tick.percent}
                </text>
              </g>
            ))}
            {groups.map((one) => (
              <g key={one.label}>
                <line className="said" x1={one.x - 17} x2={one.x + 17} y1={one.said} y2={one.said} />
                <line className="range" x1={one.x} x2={one.x} y1={one.top} y2={one.foot} />
                <circle className="found" cx={one.x} cy={one.found} r={4.5} />
                <text x={one.x} y={HEIGHT + 18} textAnchor="middle">
                  {one.label}
                </text>
              </g>
            ))}
            <text x={WIDTH / 2} y={HEIGHT + 38} textAnchor="middle">
              read with a confidence of
            </text>
          </g>
        </svg>
      </div>
      <figcaption className="small soft">
        Right of a hundred. The short rule is what was said of the cells, the dot what was found when they were checked; the
        upright line is how far the dot may be off with so few cells.
      </figcaption>
      <div className="scrolls" role="region" aria-label="Table of confidence" tabIndex={0}>
        <table>
          <thead>
            <tr>
              <th scope="col">Read with</th>
              <th scope="col" className="figure">
                Cells
              </th>
              <th scope="col" className="figure">
                Right
              </th>
              <th scope="col" className="figure">
                Said, of 100
              </th>
              <th scope="col" className="figure">
                Found, of 100
              </th>
              <th scope="col" className="figure">
                Between
              </th>
            </tr>
          </thead>
          <tbody>
            {told.groups.map((one) => (
              <tr key={one.low}>
                <th scope="row">
                  {asShare(one.low)} to {asShare(one.high)}
                </th>
                <td className="figure">{one.cells}</td>
                <td className="figure">{one.right}</td>
                <td className="figure">{(100 * one.mean).toFixed(1)}</td>
                <td className="figure">{(100 * one.share).toFixed(1)}</td>
                <td className="figure">
                  {(100 * one.at_least).toFixed(1)} and {(100 * one.at_most).toFixed(1)}
                </td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
    </figure>
  );
}

function inWords({ groups, cells }: ReliabilityView): string {
  const each = groups.map(
    (one) =>
      `of ${counted(one.cells, "cell")} read with ${asShare(one.low)} to ${asShare(one.high)}, ${(100 * one.share).toFixed(0)} of a hundred were right, ${(100 * one.mean).toFixed(0)} were said`,
  );
  return `Reliability of ${counted(cells, "checked cell")}: ${each.join("; ")}. The table below has the same figures.`;
}
