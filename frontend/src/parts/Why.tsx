/** A confidence explained: what was weighed, what it did to the odds, and a sentence for each. */
import type { ReasonView } from "../api/views";
import { hundredths, weightInWords } from "../core/degrees";
import { sentence } from "../core/days";

export function Why({ sure, reasons, of }: { sure: number | null; reasons: readonly ReasonView[]; of: string }) {
  if (sure === null) return <p className="soft small">Nothing is known of how sure {of} is.</p>;
  return (
    <table className="why small">
      <caption>
        {sentence(of)} is true with a likelihood of {hundredths(sure)}
        {reasons.length > 0 && ", because:"}
      </caption>
      <tbody>
        {reasons.map((reason, nth) => (
          <tr key={nth}>
            <td>{sentence(reason.says)}</td>
            <td className="figure soft">{weightInWords(reason.weight)}</td>
          </tr>
        ))}
      </tbody>
    </table>
  );
}
