/** A slip of the scan beside a claim, at reading size, its edges soft. */
import { useState } from "react";
import type { ScanRef } from "../api/views";
import { slipAddress } from "../api/addresses";
import type { Box, ScanPx } from "../core/geometry";

interface SlipProps {
  scan: ScanRef | null;
  box: Box<ScanPx> | null;
  /** What the slip shows, for whoever can't see it. */
  shows: string;
  /** Pixels of the scan left free around the box. */
  pad?: number;
  /** The cell in it that is spoken of. */
  mark?: Box<ScanPx> | null;
}

export function Slip({ scan, box: place, shows, pad = 14, mark: cell = null }: SlipProps) {
  const [lost, setLost] = useState(false);
  if (scan === null || place === null) return <p className="soft small">There is no scan of this line; it was typed in.</p>;
  if (lost) return <p className="soft small">The scan of this line can’t be shown. It may have been moved out of the archive’s folder.</p>;
  const [w, h] = [place.w + 2 * pad, place.h + 2 * pad];
  const share = (length: number, of: number) => `${(length / of) * 100}%`;
  return (
    // Typed letters are about 36 pixels tall on a scan of 250 dpi; half of that is reading size.
    <span className="slip-frame" style={{ width: Math.round(w * 0.55) }}>
      <img
        className="slip"
        loading="lazy"
        src={slipAddress(scan, place, pad)}
        style={{ aspectRatio: `${w} / ${h}`, width: "100%" }}
        alt={shows}
        onError={() => setLost(true)}
      />
      {cell && (
        <span
          className="mark"
          style={{
            left: share(cell.x - place.x + pad - 5, w),
            top: share(cell.y - place.y + pad - 5, h),
            width: share(cell.w + 10, w),
            height: share(cell.h + 10, h),
          }}
        />
      )}
    </span>
  );
}
