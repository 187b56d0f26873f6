/** What comes in: scans, packages, and the reading of cards with its progress. */
import { useMutation, useQueryClient } from "@tanstack/react-query";
import { useEffect } from "react";
import { useWho } from "../shell/settings";
import { progressAddress } from "./addresses";
import { client, told } from "./ask";
import { failureIn } from "./failure";
import type { ImportedView, JobView, LearntView, TakenInView } from "./views";

async function sent<View>(address: string, form: FormData): Promise<View> {
  const response = await fetch(address, { method: "POST", body: form });
  const body: unknown = await response.json().catch(() => null);
  if (!response.ok) throw failureIn(body, response.status);
  return body as View;
}

export interface ScansToTake {
  files: readonly File[];
  source: string;
  /** Given only where the source is new. */
  kind?: string;
  title?: string;
}

/** Take scans in: all the files, or, where one can't be opened, none. */
export function useTakeIn() {
  const by = useWho();
  const queries = useQueryClient();
  return useMutation({
    mutationFn: ({ files, source, kind, title }: ScansToTake) => {
      const form = new FormData();
      for (const file of files) form.append("files", file);
      form.set("source_id", source);
      form.set("by", by);
      if (kind) form.set("source_kind", kind);
      if (title) form.set("source_title", title);
      return sent<TakenInView>("/api/take-in", form);
    },
    onSuccess: () => queries.invalidateQueries(),
  });
}

/** Import an evidence package: all of it, or nothing. */
export function useImport() {
  const by = useWho();
  const queries = useQueryClient();
  return useMutation({
    mutationFn: ({ file, prefix }: { file: File; prefix: string }) => {
      const form = new FormData();
      form.set("file", file);
      form.set("by", by);
      if (prefix !== "") form.set("prefix", prefix);
      return sent<ImportedView>("/api/packages", form);
    },
    onSuccess: () => queries.invalidateQueries(),
  });
}

/** Read cards: those named, or all that are unread. */
export function useRead() {
  const by = useWho();
  const queries = useQueryClient();
  return useMutation({
    mutationFn: ({ cards = null, again = false }: { cards?: string[] | null; again?: boolean }) =>
      told<JobView>(client.POST("/api/read", { body: { card_ids: cards, again, by } })),
    onSuccess: () => queries.invalidateQueries({ queryKey: ["overview"] }),
  });
}

/** Learn from the archive anew; every history is weighed with it from then on. */
export function useLearn() {
  const by = useWho();
  const queries = useQueryClient();
  return useMutation({
    mutationFn: () => told<LearntView>(client.POST("/api/learn", { body: { by } })),
    onSuccess: () => queries.invalidateQueries(),
  });
}

/** Try again what failed in a job. */
export function useRetry() {
  const queries = useQueryClient();
  return useMutation({
    mutationFn: (job_id: number) =>
      told<JobView>(client.POST("/api/jobs/{job_id}/retry", { params: { path: { job_id } } })),
    onSuccess: () => queries.invalidateQueries({ queryKey: ["overview"] }),
  });
}

/** Watch a job until it is over; `moved` is told of every step. */
export function useProgress(job: number | null, moved: (job: JobView) => void): void {
  useEffect(() => {
    if (job === null) return;
    const stream = new EventSource(progressAddress(job.toString()));
    stream.addEventListener("job", (event: MessageEvent<string>) => moved(JSON.parse(event.data) as JobView));
    return () => stream.close();
  }, [job, moved]);
}
