/**
 * Correcting one cell: what is typed stays until it is saved or given up on purpose, so that neither a
 * refusal of the program nor a look at another cell loses it.
 */
import { useState } from "react";
import { useDecide } from "../../api/decide";
import type { ProposedCell } from "../../api/views";
import { proposedAfter } from "../../core/proposed";

export const READY_REASON = "Read again from the scan";

export interface Correction {
  /** The cell that is being typed in, by the name a decision gives it; null when none is. */
  readonly target: string | null;
  readonly text: string;
  readonly reason: string;
  readonly saving: boolean;
  readonly trouble: unknown;
  /** What was last written, to be said aloud. */
  readonly said: string;
  /** Other cells for which another text is likelier since what was decided here. */
  readonly proposed: readonly ProposedCell[];
  /** A decision proposed other texts than before. */
  readonly propose: (changed: readonly ProposedCell[]) => void;
  /** Put what is proposed out of sight; nothing of it was changed. */
  readonly leaveProposed: () => void;
  readonly draftOf: (target: string) => string | undefined;
  readonly begin: (target: string, text: string) => void;
  readonly type: (text: string) => void;
  readonly give: (reason: string) => void;
  readonly save: () => void;
  /** Leave the cell and keep what was typed. */
  readonly leave: () => void;
  /** Leave the cell and give up what was typed. */
  readonly giveUp: () => void;
}

const inHeading = (target: string) => /\/heading(_name)?$/.test(target);

export function useCorrection(): Correction {
  const [target, setTarget] = useState<string | null>(null);
  const [drafts, setDrafts] = useState<Readonly<Record<string, string>>>({});
  const [reason, setReason] = useState(READY_REASON);
  const [said, setSaid] = useState("");
  const [proposed, setProposed] = useState<readonly ProposedCell[]>([]);
  const propose = (changed: readonly ProposedCell[]) => setProposed((now) => proposedAfter(now, changed));
  const decide = useDecide();
  const text = target === null ? "" : (drafts[target] ?? "");
  const drop = (of: string) => setDrafts(({ [of]: _, ...rest }) => rest);
  return {
    target,
    text,
    reason,
    saving: decide.isPending,
    trouble: decide.isError ? decide.error : null,
    said,
    proposed,
    propose,
    leaveProposed: () => setProposed([]),
    draftOf: (of) => drafts[of],
    begin: (of, from) => {
      decide.reset();
      setDrafts((now) => ({ ...now, [of]: now[of] ?? from }));
      setTarget(of);
    },
    type: (now) => target !== null && setDrafts((kept) => ({ ...kept, [target]: now })),
    give: setReason,
    save: () => {
      if (target === null || decide.isPending) return;
      decide.mutate(
        { kind: "cell", target, ruling: text, reason },
        {
          onSuccess: (done) => {
            drop(target);
            propose(done.changed.proposed);
            setTarget(null);
            setSaid(`Written: ${text || "nothing"}${inHeading(target) ? ", for the whole card" : ""}. The history follows it.`);
          },
        },
      );
    },
    leave: () => setTarget(null),
    giveUp: () => {
      if (target !== null) drop(target);
      setTarget(null);
    },
  };
}
