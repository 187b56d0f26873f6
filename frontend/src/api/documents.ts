/** Documents that are made from something the browser hands over. */
import type { Manner } from "./addresses";
import { failureIn } from "./failure";

/** What changed in a history since an edition, given as the text of its file: a document for a word processor. */
export async function changedSince(component: string, edition: string, manner: Manner): Promise<Blob> {
  const { style, dates, distance } = manner;
  const answer = await fetch("/api/changes.docx", {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify({ component, edition, manner: { style, dates, distance } }),
  });
  if (!answer.ok) throw failureIn(await answer.json().catch(() => null), answer.status);
  return answer.blob();
}
