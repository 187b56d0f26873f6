/** Documents that are made from something the browser hands over. */
import type { Manner } from "./addresses";
import { client, told } from "./ask";
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

/** What a document will be without: slips that are not to be had, sources whose rights are not stated. */
export function lackingAsked(component: string | null, { plates, slips }: Manner) {
  const of = component === null ? { everything: true } : { component };
  return {
    queryKey: ["lacking", component, plates, slips],
    queryFn: () => told<string[]>(client.GET("/api/lacking", { params: { query: { ...of, plates, slips } } })),
  };
}
