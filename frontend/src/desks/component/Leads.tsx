/** Where to look next: for each gap the engines that could have carried the component, and who looked in vain. */
import { useQuery } from "@tanstack/react-query";
import { useId, useState, type FormEvent } from "react";
import { leadsAsked } from "../../api/ask";
import { useDecide } from "../../api/decide";
import type { LeadView, LeadsView } from "../../api/views";
import { spanInWords } from "../../core/days";
import { hundredths } from "../../core/degrees";
import { Asked } from "../../parts/Asked";
import { Places } from "../../parts/Places";
import { Trouble } from "../../parts/Trouble";
import { Link } from "../../shell/router";

const FIRST = 3;

export function Leads({ component }: { component: string }) {
  const leads = useQuery(leadsAsked(component));
  return (
    <Asked of={leads} what="the leads">
      {(data) => (data.gaps.length === 0 ? null : <Gaps leads={data} />)}
    </Asked>
  );
}

function Gaps({ leads }: { leads: LeadsView }) {
  return (
    <section className="part" aria-labelledby="leads">
      <h2 id="leads">Where to look next</h2>
      {leads.gaps.map((gap) => (
        <div key={gap.earliest} className="gap-leads">
          <p>
            Nothing tells of it {spanInWords(gap.earliest, gap.latest)}, between {gap.before} and {gap.after}.{" "}
            {gap.leads.length === 0 && "No engine of the tables could have carried it then."}
          </p>
          <ol>
            {gap.leads.slice(0, FIRST).map((lead) => (
              <Lead key={lead.engine_id} lead={lead} component={leads.component_id} covers={`${gap.earliest}/${gap.latest}`} />
            ))}
          </ol>
          {gap.leads.length > FIRST && (
            <details>
              <summary>Less likely ones</summary>
              <ol start={FIRST + 1}>
                {gap.leads.slice(FIRST).map((lead) => (
                  <Lead key={lead.engine_id} lead={lead} component={leads.component_id} covers={`${gap.earliest}/${gap.latest}`} />
                ))}
              </ol>
            </details>
          )}
        </div>
      ))}
    </section>
  );
}

function Lead({ lead, component, covers }: { lead: LeadView; component: string; covers: string }) {
  return (
    <li>
      <p>
        <Link to={{ desk: "engines", engine: lead.engine_id }}>{lead.label}</Link>, with a likelihood of{" "}
        {hundredths(lead.probability)}. <span className="soft">{lead.reasons.join(" ")}</span>
      </p>
      <Places places={lead.places} />
      <Looked lead={lead} component={component} covers={covers} />
    </li>
  );
}

/** That somebody looked there and found nothing: a decision like any other, with its reason. */
function Looked({ lead, component, covers }: { lead: LeadView; component: string; covers: string }) {
  const [asking, setAsking] = useState(false);
  const [reason, setReason] = useState("");
  const [when, setWhen] = useState(() => new Date().toISOString().slice(0, 10));
  const decide = useDecide();
  const id = useId();
  if (!asking)
    return (
      <button className="quiet" onClick={() => setAsking(true)}>
        I looked there and found nothing
      </button>
    );
  const submit = (event: FormEvent) => {
    event.preventDefault();
    const source = lead.places.find((place) => place.source_id !== null)?.source_id ?? "";
    const ruling = JSON.stringify({ covers, source, when });
    decide.mutate({ kind: "looked", target: `${lead.engine_id};${component}`, ruling, reason });
  };
  return (
    <form className="reasoned" onSubmit={submit}>
      <label htmlFor={`${id}-when`}>When you looked</label>
      <input id={`${id}-when`} type="date" required value={when} onChange={(event) => setWhen(event.target.value)} />
      <label htmlFor={`${id}-reason`}>What you looked through</label>
      <input id={`${id}-reason`} autoFocus required value={reason} onChange={(event) => setReason(event.target.value)} />
      <span className="row">
        <button className="chief" disabled={decide.isPending}>
          Keep that nothing was found
        </button>
        <button type="button" onClick={() => setAsking(false)}>
          Leave it
        </button>
      </span>
      {decide.isError && <Trouble thrown={decide.error} />}
    </form>
  );
}
