/** Events with their dates and citations. */
import type { EventView } from "../api/views";

export function EventList({ events }: { events: readonly EventView[] }) {
  return (
    <ul className="plain events">
      {events.map((event) => (
        <li key={event.event_id}>
          <span className="when">{event.date_text || event.date}</span>
          <span>
            {event.subject}: {event.statement} <span className="soft small">{event.citation}</span>
          </span>
        </li>
      ))}
    </ul>
  );
}
