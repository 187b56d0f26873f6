/** Decisions: made with a reason and a name, taken back the same way; everything shown follows at once. */
import { useMutation, useQueryClient } from "@tanstack/react-query";
import { useWho } from "../shell/settings";
import { client, told } from "./ask";
import type { Decided } from "./views";

export interface Ruling {
  kind: "cell" | "link" | "finding" | "authority" | "looked" | "checked";
  target: string;
  ruling: string;
  reason: string;
}

/** Rule on a cell, a link, a finding or a row of a table. */
export function useDecide() {
  const by = useWho();
  const queries = useQueryClient();
  return useMutation({
    mutationFn: (ruling: Ruling) => told<Decided>(client.POST("/api/decisions", { body: { ...ruling, by } })),
    onSuccess: () => queries.invalidateQueries(),
  });
}

/** Take a decision back; what it changed is as it was before. */
export function useTakeBack() {
  const by = useWho();
  const queries = useQueryClient();
  return useMutation({
    mutationFn: ({ decision, reason }: { decision: string; reason: string }) =>
      told<Decided>(
        client.POST("/api/decisions/{decision_id}/take-back", {
          params: { path: { decision_id: decision } },
          body: { reason, by },
        }),
      ),
    onSuccess: () => queries.invalidateQueries(),
  });
}
