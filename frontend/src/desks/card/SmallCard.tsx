/** The whole card in small, with the line in hand marked on it. */
import { pictureAddress } from "../../api/addresses";
import type { ScanView } from "../../api/views";
import type { Box, ScanPx, Size } from "../../core/geometry";

export function SmallCard({ scan, size, line }: { scan: ScanView; size: Size<ScanPx>; line: Box<ScanPx> | null }) {
  return (
    <div className="small-card">
      <img alt="The whole card in small" src={pictureAddress(scan, 600)} style={{ aspectRatio: `${size.w} / ${size.h}` }} />
      {line && (
        <span
          style={{
            top: `${((line.y - 6) / size.h) * 100}%`,
            height: `${((line.h + 12) / size.h) * 100}%`,
          }}
        />
      )}
    </div>
  );
}
