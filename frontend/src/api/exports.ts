/** What is taken away: exports that are ordered and watched, house styles, and comparisons to recompute. */
import { queryOptions, useMutation, useQueryClient } from "@tanstack/react-query";
import { useEffect } from "react";
import { client, told } from "./ask";
import { failureIn } from "./failure";
import type { components } from "./schema";

type Views = components["schemas"];
export type ExportView = Views["ExportView"];
export type StyleView = Views["StyleView"];
export type ComparisonView = Views["ComparisonView"];

/** What a history can be taken away as; a site is of everything only. */
export const FORMATS = ["docx", "odt", "pdf", "html", "md", "tex", "txt", "json", "edition", "site"] as const;
export type Format = (typeof FORMATS)[number];

/** Of whom a document is. */
export type Of = { component: string } | { engine: string } | { class: string } | { everything: true };

/** In what manner a document is made. */
export interface Manner {
  readonly style: string;
  readonly dates: "british" | "american" | "iso";
  readonly distance: "miles" | "kilometres" | "both";
  readonly plates: boolean;
  readonly slips: boolean;
  readonly evidence: boolean;
}

export interface Order {
  of: Of;
  format: Format;
  manner: Manner;
  /** The text of an earlier edition, where what changed since is wanted. */
  edition?: string;
}

/** Order an export; it is made in the background. */
export function useOrder() {
  return useMutation({
    mutationFn: ({ of, format, manner, edition = undefined }: Order) =>
      told<ExportView>(client.POST("/api/exports", { body: { ...of, format, manner: { ...manner, compare: [] }, edition: edition ?? null } })),
  });
}

/** Call an export off. */
export function useCallOff() {
  return useMutation({
    mutationFn: (export_id: number) =>
      told<ExportView>(client.DELETE("/api/exports/{export_id}", { params: { path: { export_id } } })),
  });
}

/** Watch an export until it is over; `moved` is told of every step. */
export function useExport(id: number | null, moved: (view: ExportView) => void): void {
  useEffect(() => {
    if (id === null) return;
    const stream = new EventSource(`/api/exports/${id}/events`);
    stream.addEventListener("export", (event: MessageEvent<string>) => moved(JSON.parse(event.data) as ExportView));
    return () => stream.close();
  }, [id, moved]);
}

export const fileAddress = (id: number) => `/api/exports/${id}/file`;

/** What a document will be without: slips that are not to be had, sources whose rights are not stated. */
export const lackingAsked = (of: Of, { plates, slips }: Manner) =>
  queryOptions({
    queryKey: ["lacking", of, plates, slips],
    queryFn: () => told<string[]>(client.GET("/api/lacking", { params: { query: { ...of, plates, slips } } })),
  });

export const stylesAsked = () =>
  queryOptions({ queryKey: ["styles"], queryFn: () => told<StyleView[]>(client.GET("/api/styles")) });

/** The text of a house style. */
export async function styleText(name: string): Promise<string> {
  const answer = await fetch(`/api/styles/${encodeURIComponent(name)}.toml`);
  if (!answer.ok) throw failureIn(await answer.json().catch(() => null), answer.status);
  return answer.text();
}

/** Keep a house style with the archive. */
export function useKeepStyle() {
  const queries = useQueryClient();
  return useMutation({
    mutationFn: ({ name, text }: { name: string; text: string }) =>
      told<StyleView>(client.PUT("/api/styles/{name}", { params: { path: { name } }, body: { text } })),
    onSuccess: () => queries.invalidateQueries({ queryKey: ["styles"] }),
  });
}

export const comparisonsAsked = (component: string) =>
  queryOptions({
    queryKey: ["comparisons", component],
    queryFn: () =>
      told<ComparisonView[]>(client.GET("/api/components/{component_id}/comparisons", { params: { path: { component_id: component } } })),
  });

/** Keep these comparisons for a component instead of those it had. */
export function useKeepComparisons(component: string) {
  const queries = useQueryClient();
  return useMutation({
    mutationFn: (lines: string[]) =>
      told<ComparisonView[]>(
        client.PUT("/api/components/{component_id}/comparisons", { params: { path: { component_id: component } }, body: { lines } }),
      ),
    onSuccess: (kept) => queries.setQueryData(["comparisons", component], kept),
  });
}
