/** A slip of the scan beside a claim, at reading size, its edges soft. */
import { useState } from "react";
import type { ScanRef } from "../api/views";
import { slipAddress } from "../api/addresses";
import { boxOf } from "../core/geometry";

interface SlipProps {
  scan: ScanRef | null;
  box: readonly number[] | null;
  /** What the slip shows, for whoever can't see it. */
  shows: string;
  /** Pixels of the scan left free around the box. */
  pad?: number;
  className?: string;
}

export function Slip({ scan, box, shows, pad = 14, className = "" }: SlipProps) {
  const [lost, setLost] = useState(false);
  const place = boxOf(box);
  if (scan === null || place === null) return <p className="soft small">There is no scan of this line; it was typed in.</p>;
  if (lost) return <p className="soft small">The scan of this line can’t be shown. It may have been moved out of the archive’s folder.</p>;
  return (
    <img
      className={`slip ${className}`}
      loading="lazy"
      src={slipAddress(scan, place, pad)}
      // Typed letters are about 36 pixels tall on a scan of 250 dpi; half of that is reading size.
      style={{ aspectRatio: `${place.w + 2 * pad} / ${place.h + 2 * pad}`, width: Math.round((place.w + 2 * pad) * 0.55) }}
      alt={shows}
      onError={() => setLost(true)}
    />
  );
}
