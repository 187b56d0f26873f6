/** Comparisons that an author or a source makes of a component: typed, recomputed at once, kept with the archive. */
import { useQuery } from "@tanstack/react-query";
import { useId, useState, type FormEvent } from "react";
import { overviewAsked } from "../../api/ask";
import { comparisonsAsked, useKeepComparisons } from "../../api/exports";
import { MEASURES, NEW, lineOf, missingIn, needsNumber, ofQuantity, type Comparison, type Measure, type Quantity } from "../../core/comparisons";
import { Trouble } from "../Trouble";
import { Choice } from "./TakeAway";

const QUANTITIES: Record<Quantity, string> = {
  miles: "its miles",
  days: "its days in traffic",
  years: "its years in traffic",
  engines: "the engines that carried it",
  fitments: "its fitments",
};
const MEASURED: Record<Measure, string> = {
  equator: "the equator",
  meridian: "a meridian, all round",
  between: "the way from one place to another",
  miles: "a number of miles",
  days: "a number of days",
  years: "a number of years",
  count: "a number",
};

export function Comparisons({ component }: { component: string }) {
  const kept = useQuery(comparisonsAsked(component));
  const keep = useKeepComparisons(component);
  const lines = (kept.data ?? []).map((one) => one.line);
  return (
    <details className="beside">
      <summary>Comparisons{lines.length > 0 && ` (${lines.length})`}</summary>
      <p className="small">
        What you or a source say of its miles, days or engines is held against the figures. It stands in every document of this component,
        contradicted where the evidence contradicts it.
      </p>
      {kept.isError && <Trouble thrown={kept.error} />}
      <ul className="plain">
        {kept.data?.map((one) => (
          <li key={one.line} className={one.stands ? undefined : "wants"}>
            {one.says} <span className="soft">{one.told}</span>{" "}
            <button className="quiet" disabled={keep.isPending} aria-label={`Drop it: ${one.says}`} onClick={() => keep.mutate(lines.filter((line) => line !== one.line))}>
              Drop it
            </button>
          </li>
        ))}
      </ul>
      <NewOne add={(line, done) => keep.mutate([...lines, line], { onSuccess: done })} pending={keep.isPending} />
      {keep.isError && <Trouble thrown={keep.error} />}
    </details>
  );
}

function NewOne({ add, pending }: { add: (line: string, done: () => void) => void; pending: boolean }) {
  const [typed, setTyped] = useState(NEW);
  const [told, setTold] = useState("");
  const set = (part: Partial<Comparison>) => setTyped({ ...typed, ...part });
  const submit = (event: FormEvent) => {
    event.preventDefault();
    const missing = missingIn(typed);
    setTold(missing);
    if (missing === "") add(lineOf(typed), () => setTyped(NEW));
  };
  return (
    <form onSubmit={submit}>
      <Field label="The sentence" wide value={typed.says} type={(says) => set({ says })} />
      <div className="row">
        <Choice label="What of it" value={typed.quantity} of={QUANTITIES} choose={(quantity) => setTyped(ofQuantity(typed, quantity))} />
        <Field label="How many times" value={typed.times} type={(times) => set({ times })} />
        <Choice
          label="As much as"
          value={typed.measure}
          of={Object.fromEntries(MEASURES[typed.quantity].map((name) => [name, MEASURED[name]]))}
          choose={(measure: Measure) => set({ measure })}
        />
        {needsNumber(typed.measure) && <Field label="Which number" value={typed.number} type={(number) => set({ number })} />}
        {typed.measure === "between" && (
          <>
            <Field label="From (degrees north, east)" value={typed.from} type={(from) => set({ from })} />
            <Field label="to (degrees north, east)" value={typed.to} type={(to) => set({ to })} />
          </>
        )}
      </div>
      <SaidBy typed={typed} set={set} />
      <p>
        <button disabled={pending}>Hold it against the figures and keep it</button>
      </p>
      {told !== "" && (
        <p className="trouble" role="alert">
          {told}
        </p>
      )}
    </form>
  );
}

function SaidBy({ typed, set }: { typed: Comparison; set: (part: Partial<Comparison>) => void }) {
  const overview = useQuery(overviewAsked());
  const sources = (overview.data?.sources ?? []).map((source) => [source.source_id, `${source.source_id}, ‘${source.title}’`] as const);
  return (
    <div className="row">
      <Choice label="Said by" value={typed.source} of={{ "": "the author", ...Object.fromEntries(sources) }} choose={(source: string) => set({ source })} />
      {typed.source !== "" && <Field label="Where in it" value={typed.place} type={(place) => set({ place })} />}
    </div>
  );
}

interface FieldProps {
  label: string;
  value: string;
  type: (text: string) => void;
  wide?: boolean;
}

export function Field({ label, value, type, wide = false }: FieldProps) {
  const id = useId();
  return (
    <span className={wide ? "wide-field" : undefined}>
      <label htmlFor={id}>{label}</label>{" "}
      <input id={id} value={value} onChange={(event) => type(event.target.value)} autoComplete="off" />
    </span>
  );
}
