/** What goes out for keeping and for analysis: what stands in the way, and the addresses of the files. */
import { queryOptions } from "@tanstack/react-query";
import { client, told } from "./ask";
import type { components } from "./schema";

export type KeepView = components["schemas"]["KeepView"];

export const keepAsked = () =>
  queryOptions({ queryKey: ["keep"], queryFn: () => told<KeepView>(client.GET("/api/keep")) });

/** The bag; `silent` makes it although sources state no rights. */
export function bagAddress(silent: boolean): string {
  return `/api/keep/bag.zip${silent ? "?rights_not_stated=true" : ""}`;
}

export const KEPT = {
  provenance: "/api/keep/provenance.jsonld",
  annotations: "/api/keep/annotations.jsonld",
  iiif: "/api/keep/pages-iiif.zip",
  alto: "/api/keep/pages-alto.zip",
  hocr: "/api/keep/pages-hocr.zip",
  csl: "/api/bibliography/csl",
  bibtex: "/api/bibliography/bibtex",
  ris: "/api/bibliography/ris",
  analysis: "/api/analysis.zip",
} as const;
