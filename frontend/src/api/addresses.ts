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

/** What a history can be taken away as; a site is of everything only. */
export const FORMATS = ["docx", "odt", "pdf", "html", "md", "tex", "txt", "json", "edition", "site"] as const;

/** In what manner a document is made. */
export interface Manner {
  readonly style: "archive" | "journal" | "plain";
  readonly dates: "british" | "american" | "iso";
  readonly distance: "miles" | "kilometres" | "both";
  readonly plates: boolean;
  readonly slips: boolean;
  readonly evidence: boolean;
}

/** The history of a component, or of everything where null, as a file; what is as usual is left out. */
export function exportAddress(component: string | null, format: (typeof FORMATS)[number], manner: Manner): string {
  const asked = new URLSearchParams();
  if (manner.style !== "archive") asked.set("style", manner.style);
  if (manner.dates !== "british") asked.set("dates", manner.dates);
  if (manner.distance !== "miles") asked.set("distance", manner.distance);
  for (const part of ["plates", "slips", "evidence"] as const) if (manner[part]) asked.set(part, "true");
  const of = component === null ? "book" : `components/${encodeURIComponent(component)}`;
  const query = asked.toString();
  return `/api/${of}/history.${format}${query && `?${query}`}`;
}

/** Everything in the archive as one evidence package. */
export const PACKAGE_ADDRESS = "/api/package.zip";

/** The progress of a job, as a stream. */
export function progressAddress(job: string): string {
  return `/api/jobs/${encodeURIComponent(job)}/events`;
}
