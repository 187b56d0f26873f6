/** The heading of the card as written, each part to be taken in hand like a cell. */
import type { CardPage } from "../../api/views";
import { columnWord } from "../../core/columns";
import { sentence } from "../../core/days";
import { WrittenCell } from "../../parts/Written";
import type { Spot } from "./spots";

export function Heading({ page, spot, choose }: { page: CardPage; spot: Spot; choose: (spot: Spot) => void }) {
  const parts = Object.entries(page.heading).filter(([, cell]) => cell.text !== "" || cell.read_as !== null);
  if (parts.length === 0) return null;
  return (
    <ul className="plain heading" aria-label="Heading of the card, as written">
      {parts.map(([field, cell]) => (
        <li key={field}>
          <button
            className="quiet"
            aria-pressed={spot.heading && spot.field === field}
            onClick={() => choose({ line: page.lines[0]?.line_id ?? spot.line, field, heading: true })}
          >
            <span className="soft small">{sentence(columnWord(field))}</span> <WrittenCell cell={cell} />
          </button>
        </li>
      ))}
    </ul>
  );
}
