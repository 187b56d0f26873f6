/** Reading what is unread, with its progress. */
import { useRead } from "../../api/coming";
import type { Overview } from "../../api/views";
import { counted } from "../../core/days";
import { Progress } from "../../parts/Progress";
import { Trouble } from "../../parts/Trouble";

export function ReadCards({ overview }: { overview: Overview }) {
  const reading = useRead();
  const [last] = overview.jobs;
  const going = last && (last.state === "running" || last.state === "waiting") ? last : null;
  const job = reading.data && reading.data.job_id >= (last?.job_id ?? 0) ? reading.data : (going ?? (last && last.failed > 0 ? last : null));
  const unread = overview.unread.length;
  return (
    <>
      {job && <Progress key={job.job_id} job={job} />}
      {unread > 0 && going === null && (
        <p className="row">
          <button className="chief" disabled={reading.isPending} onClick={() => reading.mutate({})}>
            Read {counted(unread, "card")}
          </button>
          <span className="soft">{unread === 1 ? "It has" : "They have"} been taken in and not been read yet.</span>
        </p>
      )}
      {reading.isError && <Trouble thrown={reading.error} />}
    </>
  );
}
