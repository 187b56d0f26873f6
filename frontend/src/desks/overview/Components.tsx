/** Every component in one line: its life as a thread on one common axis, its miles, what is open. */
import { useState } from "react";
import type { ComponentSummary } from "../../api/views";
import { dayNumber, figure, spanInWords } from "../../core/days";
import { axisOf, placeOn } from "../../core/timeline";
import { Link } from "../../shell/router";

const WIDTH = 220;

export function Components({ components }: { components: readonly ComponentSummary[] }) {
  const [sought, setSought] = useState("");
  const shown = components.filter((one) => `${one.label} ${one.type} ${one.kind}`.toLowerCase().includes(sought.trim().toLowerCase()));
  const axis = commonAxis(components);
  return (
    <>
      <p className="row">
        <label htmlFor="seek">Find a component by its number, kind or type</label>
        <input id="seek" type="search" value={sought} onChange={(event) => setSought(event.target.value)} />
      </p>
      <div className="scrolls" role="region" aria-labelledby="components" tabIndex={0}>
        <table className="components">
          <thead>
            <tr>
              <th scope="col">Component</th>
              <th scope="col">Type</th>
              <th scope="col">
                {axis === null ? (
                  "In use"
                ) : (
                  <span className="life-head">
                    <span>{axis.first}</span> <span>in use</span> <span>{axis.last}</span>
                  </span>
                )}
              </th>
              <th scope="col" className="figure">
                Fitments
              </th>
              <th scope="col" className="figure">
                Supported miles
              </th>
              <th scope="col" className="figure">
                Open findings
              </th>
            </tr>
          </thead>
          <tbody>
            {shown.map((one) => (
              <tr key={one.component_id}>
                <th scope="row">
                  <Link to={{ desk: "component", component: one.component_id }}>{one.label}</Link>
                </th>
                <td>{one.type}</td>
                <td>{axis && <Life of={one} axis={axis.axis} />}</td>
                <td className="figure">{one.fitments}</td>
                <td className="figure">{one.supported_miles > 0 ? figure(one.supported_miles) : <span className="soft">none</span>}</td>
                <td className="figure">{one.findings_open > 0 ? one.findings_open : ""}</td>
              </tr>
            ))}
          </tbody>
        </table>
      </div>
      {shown.length === 0 && <p>No component here is called that. Clear the field to see all of them.</p>}
    </>
  );
}

function commonAxis(components: readonly ComponentSummary[]) {
  const days = components.flatMap((one) => [dayNumber(one.first), dayNumber(one.last)]).filter((day) => day !== null);
  if (days.length === 0) return null;
  const axis = axisOf(Math.min(...days), Math.max(...days), WIDTH);
  return { axis, first: new Date(axis.from * 86_400_000).getUTCFullYear(), last: new Date(axis.to * 86_400_000).getUTCFullYear() };
}

function Life({ of, axis }: { of: ComponentSummary; axis: ReturnType<typeof axisOf> }) {
  const [first, last] = [dayNumber(of.first), dayNumber(of.last)];
  if (first === null && last === null) return <span className="soft small">not known</span>;
  const from = placeOn(axis, first ?? axis.from);
  const to = placeOn(axis, last ?? axis.to);
  return (
    <svg className="life-thread" width={WIDTH} height={20} role="img" aria-label={spanInWords(of.first, of.last)}>
      <line className="ground" x1={0} x2={WIDTH} y1={10} y2={10} />
      <line className="strand" x1={from} x2={Math.max(to, from + 2)} y1={10} y2={10} />
    </svg>
  );
}
