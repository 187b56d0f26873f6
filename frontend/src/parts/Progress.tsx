/** A job as it goes on: how many pages are read, which failed and why, and trying those again. */
import { useQueryClient } from "@tanstack/react-query";
import { useCallback, useState } from "react";
import { useProgress, useRetry } from "../api/coming";
import type { JobView } from "../api/views";
import { counted } from "../core/days";
import { Trouble } from "./Trouble";

const isOver = (job: JobView) => job.state === "done" || job.state === "failed" || job.state === "stopped";

export function Progress({ job: given }: { job: JobView }) {
  const queries = useQueryClient();
  const [latest, setLatest] = useState<JobView | null>(null);
  const retry = useRetry();
  const job = retry.data ?? (latest?.job_id === given.job_id ? latest : given);
  const moved = useCallback(
    (now: JobView) => {
      setLatest(now);
      if (isOver(now)) void queries.invalidateQueries();
    },
    [queries],
  );
  useProgress(isOver(job) ? null : job.job_id, moved);
  const shown = latest?.job_id === job.job_id ? latest : job;
  const through = shown.done + shown.failed;
  return (
    <div className="progress">
      <progress max={Math.max(shown.total, 1)} value={through} aria-label="Pages read" />
      <p role="status">
        {isOver(shown)
          ? `${counted(shown.done, "page")} read${shown.failed > 0 ? `, ${counted(shown.failed, "page")} not` : ""}.`
          : `Reading: ${through} of ${counted(shown.total, "page")}${ahead(shown.seconds_left)}.`}
      </p>
      {shown.failed > 0 && <Failed job={shown} again={() => retry.mutate(shown.job_id)} />}
      {retry.isError && <Trouble thrown={retry.error} />}
    </div>
  );
}

/** How long the rest takes, in words that promise no more than is known. */
function ahead(seconds: number | null): string {
  if (seconds === null) return "";
  return seconds < 50 ? ", less than a minute left" : `, about ${counted(Math.round(seconds / 60), "minute")} left`;
}

function Failed({ job, again }: { job: JobView; again: () => void }) {
  return (
    <div className="wants">
      <ul className="plain">
        {job.items
          .filter((item) => item.state === "failed")
          .map((item) => (
            <li key={`${item.sha256} ${item.page}`}>
              Card {item.card_id}, page {item.page}: {item.why}
            </li>
          ))}
      </ul>
      {isOver(job) && <button onClick={again}>Try {counted(job.failed, "page")} again</button>}
    </div>
  );
}
