/** The slip of the line in hand: the scan itself, at the width of the columns, cut to the line. */
import type { CardPage, LineView, ScanView } from "../../api/views";
import { pictureAddress } from "../../api/addresses";
import { slantOf } from "../../core/lines";
import type { Reach } from "./spots";

const MARGIN = 12;

interface SlipRowProps {
  page: CardPage;
  line: LineView;
  columns: readonly string[];
  reach: Reach | null;
  scan: ScanView | null;
  gutter: number;
  width: number;
}

export function SlipRow({ line, page, columns, reach, scan, gutter, width }: SlipRowProps) {
  const slant = slantOf(line, page.turned);
  if (scan === null || slant === null || width <= gutter) return null;
  const from = reach?.from ?? slant.x - slant.length / 2 - MARGIN;
  const to = reach?.to ?? slant.x + slant.length / 2 + MARGIN;
  const scale = (width - gutter) / (to - from);
  const height = Math.min((slant.height + 2 * MARGIN) * scale, 96);
  return (
    <tr className="slip-row" aria-hidden="true">
      <td style={{ width: gutter }} />
      <td colSpan={columns.length}>
        <div style={{ height }}>
          <img
            alt=""
            src={pictureAddress(scan, 2000)}
            style={{
              width: scan.width * scale,
              height: scan.height * scale,
              transformOrigin: `${slant.x * scale}px ${slant.y * scale}px`,
              transform: `translate(${-from * scale}px, ${height / 2 - slant.y * scale}px) rotate(${-slant.turned}deg)`,
            }}
          />
        </div>
      </td>
    </tr>
  );
}
