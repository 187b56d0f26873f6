/** Cells for which another text is likelier, as one decision after the other changes them. */
import type { ProposedCell } from "../api/views";

export const cellOf = (one: Pick<ProposedCell, "line_id" | "field">) => `${one.line_id}/${one.field}`;

/** The list after a decision: what it proposes anew comes in or changes, what it no longer proposes goes. */
export function proposedAfter(before: readonly ProposedCell[], changed: readonly ProposedCell[]): ProposedCell[] {
  const now = new Map(before.map((one) => [cellOf(one), one]));
  for (const one of changed) {
    if (one.proposed === "") now.delete(cellOf(one));
    else now.set(cellOf(one), one);
  }
  return [...now.values()];
}
