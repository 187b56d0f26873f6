/** What one ruling would change, told before it is given. */
import type { OutcomeView } from "../../api/views";

export function Outcome({ outcome }: { outcome: OutcomeView }) {
  const told = [
    ...outcome.changes.map((change) => change.says),
    ...outcome.findings_gone.map((finding) => `This goes too: ${finding.message}`),
    ...outcome.findings_come.map((finding) => `This comes: ${finding.message}`),
  ];
  if (outcome.more_changes > 0) told.push(`And ${outcome.more_changes} further changes.`);
  if (told.length === 0) return <p className="small soft">Nothing else becomes otherwise.</p>;
  return (
    <ul className="plain small outcome">
      {told.map((text) => (
        <li key={text}>{text}</li>
      ))}
    </ul>
  );
}
