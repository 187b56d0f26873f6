/** The slip of the line in hand: the scan itself, at the width of the columns, cut to the line. */
import type { LineView, ScanView } from "../../api/views";
import { pictureAddress } from "../../api/addresses";
import { boxOf, hull, type Box, type ScanPx } from "../../core/geometry";
import type { Reach } from "./spots";

const MARGIN = 12;

interface SlipRowProps {
  line: LineView;
  columns: readonly string[];
  reach: Reach | null;
  scan: ScanView | null;
  gutter: number;
  width: number;
}

export function SlipRow({ line, columns, reach, scan, gutter, width }: SlipRowProps) {
  const box = tightBox(line, columns);
  if (scan === null || box === null || width <= gutter) return null;
  const from = reach?.from ?? box.x - MARGIN;
  const to = reach?.to ?? box.x + box.w + MARGIN;
  const scale = (width - gutter) / (to - from);
  return (
    <tr className="slip-row" aria-hidden="true">
      <td style={{ width: gutter }} />
      <td colSpan={columns.length}>
        <div style={{ height: Math.min((box.h + 2 * MARGIN) * scale, 96) }}>
          <img
            alt=""
            src={pictureAddress(scan, 2000)}
            style={{
              width: scan.width * scale,
              height: scan.height * scale,
              transform: `translate(${-from * scale}px, ${-(box.y - MARGIN) * scale}px)`,
            }}
          />
        </div>
      </td>
    </tr>
  );
}

/** The hull of the inked cells: a line's own box may take in more of the card than its writing. */
function tightBox(line: LineView, columns: readonly string[]): Box<ScanPx> | null {
  const inked = columns.flatMap((field) => {
    const cell = line.cells[field];
    const box = cell && cell.text !== "" ? boxOf(cell.box) : null;
    return box ? [box] : [];
  });
  return hull(inked) ?? boxOf(line.box);
}
