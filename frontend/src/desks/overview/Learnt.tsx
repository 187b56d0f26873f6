/** What confidence goes by: what was learnt of the archive's own papers, from how much, and when. */
import { useLearn } from "../../api/coming";
import type { LearntView } from "../../api/views";
import { Trouble } from "../../parts/Trouble";

export function Learnt({ learnt }: { learnt: LearntView }) {
  const learning = useLearn();
  return (
    <section aria-labelledby="learnt">
      <h2 id="learnt">How sure the papers are</h2>
      <p className="small">{learnt.says}</p>
      {learnt.rows.length > 0 && (
        <details className="small">
          <summary>What was learnt</summary>
          <ul>
            {learnt.rows.map((row) => (
              <li key={row.what}>
                {row.what}: {(100 * row.share).toFixed(1)} in a hundred{" "}
                <span className="soft">({Math.round(row.cases).toLocaleString("en-GB")} cases)</span>
              </li>
            ))}
          </ul>
        </details>
      )}
      <p className="row">
        <button disabled={learning.isPending} onClick={() => learning.mutate()}>
          {learning.isPending ? "Learning…" : learnt.version === 0 ? "Learn from the archive" : "Learn again"}
        </button>
        <span className="small soft">Corrections and rulings never change it.</span>
      </p>
      {learning.isError && <Trouble thrown={learning.error} />}
    </section>
  );
}
