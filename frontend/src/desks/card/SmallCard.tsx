/** The whole card in small, with the line in hand marked on it. */
import { pictureAddress } from "../../api/addresses";
import type { ScanView } from "../../api/views";
import type { ScanPx, Size } from "../../core/geometry";
import type { Slant } from "../../core/lines";

export function SmallCard({ scan, size, line }: { scan: ScanView; size: Size<ScanPx>; line: Slant | null }) {
  return (
    <div className="small-card">
      <img alt="The whole card in small" src={pictureAddress(scan, 600)} style={{ aspectRatio: `${size.w} / ${size.h}` }} />
      {line && (
        <span
          style={{
            top: `${((line.y - line.height / 2 - 6) / size.h) * 100}%`,
            height: `${((line.height + 12) / size.h) * 100}%`,
            transform: `rotate(${line.turned}deg)`,
          }}
        />
      )}
    </div>
  );
}
