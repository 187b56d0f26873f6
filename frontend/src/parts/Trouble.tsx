/** A refusal as a sentence that says what to do, never a code alone. */
import { asFailure, detailInWords } from "../api/failure";

export function Trouble({ thrown, again }: { thrown: unknown; again?: () => void }) {
  const failure = asFailure(thrown);
  const places = failure.details
    .filter((detail) => !detail.found || !failure.message.includes(detail.found))
    .map(detailInWords)
    .filter((place) => place !== "");
  return (
    <div className="trouble" role="alert">
      <p>{failure.message}</p>
      {places.length > 0 && (
        <ul>
          {places.map((place) => (
            <li key={place}>{place}</li>
          ))}
        </ul>
      )}
      {again && <button onClick={again}>Ask again</button>}
    </div>
  );
}
