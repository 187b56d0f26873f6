/** An export as it is made: how far it is, how long it will still take, calling it off, and its file. */
import { useCallback, useEffect, useRef, useState } from "react";
import { fileAddress, useCallOff, useExport, type ExportView } from "../../api/exports";
import { counted, figure } from "../../core/days";
import { Trouble } from "../Trouble";

const isOver = (view: ExportView) => view.state === "done" || view.state === "failed" || view.state === "stopped";

export function Making({ export: given }: { export: ExportView }) {
  const [latest, setLatest] = useState(given);
  const off = useCallOff();
  const moved = useCallback((view: ExportView) => setLatest(view), []);
  useExport(isOver(latest) ? null : given.export_id, moved);
  useSaved(latest);
  const through = partDone(latest);
  return (
    <div className="making">
      {latest.state === "making" && (
        <progress aria-label={`Making ${latest.title}`} {...(through === null ? {} : { max: 1, value: through })} />
      )}
      <p role="status">{inWords(latest)}</p>
      {latest.state === "done" && (
        <p>
          <a href={fileAddress(latest.export_id)} download={latest.name}>
            Save {latest.name}
          </a>
        </p>
      )}
      {!isOver(latest) && (
        <button disabled={off.isPending} onClick={() => off.mutate(given.export_id)}>
          Call it off
        </button>
      )}
      {off.isError && <Trouble thrown={off.error} />}
    </div>
  );
}

/** Save the file as soon as it is there: it was asked for in this place. */
function useSaved(view: ExportView) {
  const saved = useRef(false);
  const ready = view.state === "done";
  useEffect(() => {
    if (!ready || saved.current) return;
    saved.current = true;
    const link = document.createElement("a");
    link.href = fileAddress(view.export_id);
    link.download = view.name;
    link.click();
  }, [ready, view.export_id, view.name]);
}

/** How much is done, from nought to one; null while that can't be said. */
function partDone({ spent, left }: ExportView): number | null {
  return left === null || spent + left <= 0 ? null : spent / (spent + left);
}

const STAGES = { chapters: "Writing the text", pictures: "Drawing the pictures", setting: "Setting the pages" } as const;

export function inWords(view: ExportView): string {
  const { title, state, stage, done, of, left, why, size, spent } = view;
  if (state === "waiting") return `${title} waits until another export is made.`;
  if (state === "failed") return `${title} could not be made. ${why}`;
  if (state === "stopped") return `${title} was called off. Nothing is left of it.`;
  if (state === "done") return `${title} is made: ${weight(size ?? 0)}, in ${time(spent)}.`;
  const part = of > 1 ? `, ${figure(done)} of ${figure(of)}` : "";
  return `${STAGES[stage]}${part}. ${left === null ? "How long it will take can’t be told yet." : `About ${time(left)} left.`}`;
}

function time(seconds: number): string {
  const whole = Math.max(1, Math.round(seconds));
  return whole < 90 ? counted(whole, "second") : counted(Math.round(whole / 60), "minute");
}

function weight(octets: number): string {
  return octets < 1_000_000 ? `${figure(Math.max(1, Math.round(octets / 1000)))} KB` : `${(octets / 1_000_000).toFixed(1)} MB`;
}
