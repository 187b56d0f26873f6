/** Addresses of pictures and files that the browser fetches by itself. */
import type { Box, ScanPx } from "../core/geometry";
import type { ScanRef } from "./views";

const page = ({ sha256, page: nth }: ScanRef) => `/api/scans/${encodeURIComponent(sha256)}/${nth}`;

/** A crop of a scan: the box, with `pad` pixels of the scan around it. */
export function slipAddress(scan: ScanRef, { x, y, w, h }: Box<ScanPx>, pad: number): string {
  return `${page(scan)}/slip?x=${Math.round(x)}&y=${Math.round(y)}&w=${Math.round(w)}&h=${Math.round(h)}&pad=${pad}`;
}

/** A whole page of a scan, the right way up, as wide as asked. */
export function pictureAddress(scan: ScanRef, width: number): string {
  return `${page(scan)}/picture?width=${width}`;
}

/** The scan as it came. */
export function scanAddress(sha256: string): string {
  return `/api/scans/${encodeURIComponent(sha256)}`;
}

/** Everything in the archive as one evidence package. */
export const PACKAGE_ADDRESS = "/api/package.zip";

/** The progress of a job, as a stream. */
export function progressAddress(job: string): string {
  return `/api/jobs/${encodeURIComponent(job)}/events`;
}
