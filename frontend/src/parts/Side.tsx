/** One side of a finding: the slip of its line, and each claim of it that is at odds. */
import type { ClaimView, LineView } from "../api/views";
import { columnWord } from "../core/columns";
import { boxOf } from "../core/geometry";
import { lineBoxOf } from "../core/lines";
import { Link } from "../shell/router";
import { Sure } from "./Degree";
import { Slip } from "./Slip";
import { Written } from "./Written";

export function Side({ line, claims }: { line: LineView | undefined; claims: readonly ClaimView[] }) {
  const [first] = claims;
  if (first === undefined) return null;
  const scan = line?.scan ?? first.scan;
  const own = boxOf(first.box);
  const box = (line && lineBoxOf(line)) ?? own;
  const cell = claims.length === 1 && own && box && own.w < box.w ? own : null;
  return (
    <article className="side">
      {scan && <Slip scan={scan} box={box} mark={cell} shows={`The scan at ${first.citation}`} />}
      <dl>
        {claims.map((claim) => (
          <div key={claim.cell}>
            <dt>{columnWord(claim.field)}, as written</dt>
            <dd>
              <Written text={claim.text} />
            </dd>
            <dt>Meaning</dt>
            <dd>
              {claim.meaning_text === "" ? (
                <span className="degree" data-degree="unknown">
                  unknown
                </span>
              ) : (
                <Sure degree={claim.degree} word>
                  {claim.meaning_text}
                </Sure>
              )}
            </dd>
          </div>
        ))}
      </dl>
      <p className="small">
        {first.citation}.{" "}
        {line && line.card_id !== "" && (
          <Link to={{ desk: "card", card: line.card_id, line: first.line_id, field: first.field }}>
            Open the scan at this line
          </Link>
        )}
      </p>
    </article>
  );
}
