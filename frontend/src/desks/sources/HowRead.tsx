/** How a source is read: its checked cells, what corrections taught of its hand, and what is proposed for the rest. */
import { useQuery } from "@tanstack/react-query";
import { sourceReadingAsked } from "../../api/ask";
import type { SourceReading } from "../../api/views";
import { counted, sentence } from "../../core/days";
import { Asked } from "../../parts/Asked";
import { ProposedList } from "../../parts/ProposedList";
import { Reliability } from "../../parts/Reliability";
import { Written } from "../../parts/Written";

export function HowRead({ source }: { source: string }) {
  const reading = useQuery(sourceReadingAsked(source));
  return (
    <section aria-labelledby="how-read" className="how-read">
      <h2 id="how-read">How it is read</h2>
      <Asked of={reading} what="how the source is read">
        {(data) => <Told reading={data} />}
      </Asked>
    </section>
  );
}

function Told({ reading }: { reading: SourceReading }) {
  if (reading.read === 0) return <p>No card of this source has been read by the machine.</p>;
  return (
    <>
      <h3>How far its confidence can be trusted</h3>
      <p>{reading.says}</p>
      {reading.reliability.cells > 0 && <Reliability told={reading.reliability} />}
      {reading.learnt && (
        <p className="small">
          The archive has been learnt from since: by that, how surely these cells were read is off by {(100 * reading.learnt.error).toFixed(1)} in a
          hundred.
        </p>
      )}
      <h3>What corrections taught of its hand</h3>
      <Hand reading={reading} />
      {reading.by_hand.length > 0 && (
        <>
          <p>
            {sentence(counted(reading.by_hand.length, "other cell"))} {reading.by_hand.length === 1 ? "is" : "are"} proposed anew by it. None is
            changed until you take it.
          </p>
          <ProposedList cells={reading.by_hand} />
        </>
      )}
      <Others reading={reading} />
    </>
  );
}

function Hand({ reading }: { reading: SourceReading }) {
  const { confusions, spellings } = reading;
  if (reading.corrected === 0) return <p>No cell of this source has been corrected yet, so nothing is known of its hand.</p>;
  return (
    <>
      <p>
        {sentence(counted(reading.looked_over, "cell"))} {reading.looked_over === 1 ? "was" : "were"} looked over, {reading.corrected} of them corrected.
        {confusions.length + spellings.length === 0 && " They show no slip that comes again."}
      </p>
      {confusions.length + spellings.length > 0 && (
        <ul>
          {confusions.map((one) => (
            <li key={`${one.sign} ${one.read}`}>
              {one.sign === "" ? "Where nothing stands" : <Written text={one.sign} />} was {one.read === "" ? "not seen" : <>read as <Written text={one.read} /></>} in{" "}
              {one.cells} of {one.of} cells
            </li>
          ))}
          {spellings.map((one) => (
            <li key={`${one.read} ${one.word}`}>
              <Written text={one.read} /> was corrected to <Written text={one.word} /> in {counted(one.cells, "cell")}
            </li>
          ))}
        </ul>
      )}
    </>
  );
}

/** What the cards as a whole make likelier, by their sums, the order of their dates and the archive's lists. */
function Others({ reading }: { reading: SourceReading }) {
  const known = new Set(reading.by_hand.map((one) => `${one.line_id}/${one.field}`));
  const others = reading.proposed.filter((one) => !known.has(`${one.line_id}/${one.field}`));
  if (others.length === 0) return null;
  return (
    <details>
      <summary>{sentence(counted(others.length, "cell"))} for which the card itself makes another text likelier</summary>
      <ProposedList cells={others} />
    </details>
  );
}
