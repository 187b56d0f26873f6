/** Where to look: cards to open or to ask for, each with the reason. */
import type { PlaceView } from "../api/views";
import { Link } from "../shell/router";

export function Places({ places }: { places: readonly PlaceView[] }) {
  return (
    <ul className="plain places">
      {places.map((place) => (
        <li key={place.says}>
          {place.card_id !== null && place.state === "seen" ? (
            <Link to={{ desk: "card", card: place.card_id, line: null, field: null }}>{place.says}</Link>
          ) : (
            place.says
          )}
        </li>
      ))}
    </ul>
  );
}
