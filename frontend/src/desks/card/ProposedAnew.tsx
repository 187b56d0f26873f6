/** After a correction: which other cells of the source are proposed anew. None is changed until it is taken. */
import type { ProposedCell } from "../../api/views";
import { counted } from "../../core/days";
import { ProposedList } from "../../parts/ProposedList";

interface ProposedAnewProps {
  cells: readonly ProposedCell[];
  changed: (cells: readonly ProposedCell[]) => void;
  leave: () => void;
}

export function ProposedAnew({ cells, changed, leave }: ProposedAnewProps) {
  if (cells.length === 0) return null;
  return (
    <section aria-labelledby="proposed-anew" className="proposed-anew">
      <h2 id="proposed-anew">
        <span role="status">
          After your correction {counted(cells.length, "other cell")} {cells.length === 1 ? "is" : "are"} proposed anew
        </span>
      </h2>
      <p className="small soft">None is changed until you take it. They stand on the source’s page, too.</p>
      <ProposedList cells={cells} changed={changed} />
      <p>
        <button onClick={leave}>Leave them for now</button>
      </p>
    </section>
  );
}
