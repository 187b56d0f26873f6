/** One side of a finding: its slip, what stands there, what that means, and where it is to be found. */
import type { ClaimView } from "../api/views";
import { columnWord } from "../core/columns";
import { Link } from "../shell/router";
import { Sure } from "./Degree";
import { Slip } from "./Slip";
import { Written } from "./Written";

export function Claim({ claim, card }: { claim: ClaimView; card: string }) {
  return (
    <article className="claim">
      <Slip scan={claim.scan} box={claim.box} shows={`The scan at ${claim.citation}: ${claim.text}`} />
      <dl>
        <div>
          <dt>{columnWord(claim.field)}, as written</dt>
          <dd>
            <Written text={claim.text} />
          </dd>
        </div>
        <div>
          <dt>Meaning</dt>
          <dd>
            <Sure degree={claim.degree} word>
              {claim.meaning_text || "nothing that is known"}
            </Sure>
          </dd>
        </div>
      </dl>
      <p className="small">
        {claim.citation}.{" "}
        <Link to={{ desk: "card", card, line: claim.line_id, field: claim.field }}>Open the scan at this line</Link>
      </p>
    </article>
  );
}
