/** What the desks ask of the program. Addresses and shapes are those of the generated client. */
import { queryOptions } from "@tanstack/react-query";
import createClient from "openapi-fetch";
import { failureIn } from "./failure";
import type { paths } from "./schema";
import type {
  AuthorityTable,
  CardPage,
  ComponentPage,
  DecisionView,
  EnginePage,
  EngineSummary,
  FindingView,
  LeadsView,
  Overview,
  SourcePage,
  SourceReading,
  SourceSummary,
  WhatIfView,
} from "./views";

export const client = createClient<paths>({ baseUrl: window.location.origin, fetch: (request) => globalThis.fetch(request) });

/**
 * The body of an answer, or a failure thrown. The client loses the lengths of tuples on the way, so the
 * view that the schema promises is named by whoever asks.
 */
export async function told<View>(
  answer: Promise<{ data?: unknown; error?: unknown; response: Response }>,
): Promise<View> {
  const { data, error, response } = await answer;
  if (!response.ok || data === undefined) throw failureIn(error, response.status);
  return data as View;
}

export const overviewAsked = () =>
  queryOptions({ queryKey: ["overview"], queryFn: () => told<Overview>(client.GET("/api/overview")) });

export const componentAsked = (component_id: string) =>
  queryOptions({
    queryKey: ["component", component_id],
    queryFn: () =>
      told<ComponentPage>(client.GET("/api/components/{component_id}", { params: { path: { component_id } } })),
  });

export const leadsAsked = (component_id: string) =>
  queryOptions({
    queryKey: ["leads", component_id],
    queryFn: () =>
      told<LeadsView>(client.GET("/api/components/{component_id}/leads", { params: { path: { component_id } } })),
  });

export const enginesAsked = () =>
  queryOptions({ queryKey: ["engines"], queryFn: () => told<EngineSummary[]>(client.GET("/api/engines")) });

export const engineAsked = (engine_id: string) =>
  queryOptions({
    queryKey: ["engine", engine_id],
    queryFn: () => told<EnginePage>(client.GET("/api/engines/{engine_id}", { params: { path: { engine_id } } })),
  });

export const sourcesAsked = () =>
  queryOptions({ queryKey: ["sources"], queryFn: () => told<SourceSummary[]>(client.GET("/api/sources")) });

export const sourceAsked = (source_id: string) =>
  queryOptions({
    queryKey: ["source", source_id],
    queryFn: () => told<SourcePage>(client.GET("/api/sources/{source_id}", { params: { path: { source_id } } })),
  });

/** What the corrections of a source taught, and how far the confidence of its cells can be trusted. */
export const sourceReadingAsked = (source_id: string) =>
  queryOptions({
    queryKey: ["source-reading", source_id],
    queryFn: () =>
      told<SourceReading>(client.GET("/api/sources/{source_id}/reading", { params: { path: { source_id } } })),
  });

export const cardAsked = (card_id: string) =>
  queryOptions({
    queryKey: ["card", card_id],
    queryFn: () => told<CardPage>(client.GET("/api/cards/{card_id}", { params: { path: { card_id } } })),
  });

export const findingsAsked = () =>
  queryOptions({ queryKey: ["findings"], queryFn: () => told<FindingView[]>(client.GET("/api/findings")) });

/** What each ruling on a finding would change; it is reconciled anew for each, so it comes a moment later. */
export const whatIfAsked = (finding_id: string) =>
  queryOptions({
    queryKey: ["what-if", finding_id],
    queryFn: () => told<WhatIfView>(client.GET("/api/findings/{finding_id}/what-if", { params: { path: { finding_id } } })),
  });

export const decisionsAsked = () =>
  queryOptions({ queryKey: ["decisions"], queryFn: () => told<DecisionView[]>(client.GET("/api/decisions")) });

export const tableAsked = (table: string) =>
  queryOptions({
    queryKey: ["authority", table],
    queryFn: () => told<AuthorityTable>(client.GET("/api/authority/{table}", { params: { path: { table } } })),
  });
