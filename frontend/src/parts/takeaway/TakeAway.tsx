/** Taking a history away, of a component, an engine, a class or everything: format, house style, usage, pictures. */
import { useQuery } from "@tanstack/react-query";
import { useId, useState } from "react";
import { FORMATS, lackingAsked, stylesAsked, useOrder, type Format, type Manner, type Of } from "../../api/exports";
import { Trouble } from "../Trouble";
import { Comparisons } from "./Comparisons";
import { HouseStyles } from "./HouseStyles";
import { Making } from "./Making";
import { Since } from "./Since";
import "./takeaway.css";

const USUAL: Manner = { style: "archive", dates: "british", distance: "miles", plates: false, slips: false, evidence: false };
const SAID: Record<Format, string> = {
  docx: "a word processor (DOCX)",
  odt: "a word processor (ODT)",
  pdf: "print (PDF)",
  html: "a page to explore",
  md: "Markdown",
  tex: "LaTeX, with its pictures (zip)",
  txt: "plain text",
  json: "data (JSON)",
  edition: "an edition, to compare a later one with",
  site: "a site (zip)",
};
/** How the styles of the program cite; a style of one's own goes by its name. */
const CITES: Record<string, string> = { archive: "as an archive cites", journal: "as a journal cites", plain: "for any reader" };

export function TakeAway({ of, what }: { of: Of; what: string }) {
  const [open, setOpen] = useState(false);
  return (
    <details className="take-away" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>Take {what} away</summary>
      {open && <Choices of={of} />}
    </details>
  );
}

function Choices({ of }: { of: Of }) {
  const [format, setFormat] = useState<Format>("docx");
  const [manner, setManner] = useState(USUAL);
  const order = useOrder();
  const set = (part: Partial<Manner>) => setManner({ ...manner, ...part });
  const formats = FORMATS.filter((name) => name !== "site" || "everything" in of);
  return (
    <>
      <div className="row">
        <Choice label="For" value={format} of={Object.fromEntries(formats.map((name) => [name, SAID[name]]))} choose={setFormat} />
        <Styles value={manner.style} choose={(style) => set({ style })} />
        <Choice
          label="Days"
          value={manner.dates}
          of={{ british: "14 November 1925", american: "November 14, 1925", iso: "1925-11-14" }}
          choose={(dates) => set({ dates })}
        />
        <Choice
          label="Distances"
          value={manner.distance}
          of={{ miles: "in miles", kilometres: "in kilometres", both: "in both" }}
          choose={(distance) => set({ distance })}
        />
      </div>
      <div className="row">
        <Tick label="Plates of the slips behind the key claims" on={manner.plates} turn={(plates) => set({ plates })} />
        {(format === "html" || format === "site") && (
          <Tick label="The slip of the scan in each note" on={manner.slips} turn={(slips) => set({ slips })} />
        )}
        {format === "pdf" && <Tick label="The data attached" on={manner.evidence} turn={(evidence) => set({ evidence })} />}
      </div>
      <Lacking of={of} manner={manner} />
      <p>
        <button className="chief" disabled={order.isPending} onClick={() => order.mutate({ of, format, manner })}>
          Make it for {SAID[format]}
        </button>
      </p>
      {order.isError && <Trouble thrown={order.error} />}
      {order.data && <Making key={order.data.export_id} export={order.data} />}
      <Since of={of} manner={manner} />
      {"component" in of && <Comparisons component={of.component} />}
      <HouseStyles chosen={manner.style} choose={(style) => set({ style })} />
    </>
  );
}

function Styles({ value, choose }: { value: string; choose: (style: string) => void }) {
  const styles = useQuery(stylesAsked());
  const own = (styles.data ?? []).filter((style) => style.own).map((style) => [style.name, style.title] as const);
  return <Choice label="Notes" value={value} of={{ ...CITES, ...Object.fromEntries(own) }} choose={choose} />;
}

interface ChoiceProps<T extends string> {
  label: string;
  value: T;
  of: Partial<Record<T, string>>;
  choose: (value: T) => void;
}

export function Choice<T extends string>({ label, value, of, choose }: ChoiceProps<T>) {
  const id = useId();
  return (
    <span>
      <label htmlFor={id}>{label}</label>{" "}
      <select id={id} value={value} onChange={(event) => choose(event.target.value as T)}>
        {Object.entries(of).map(([name, says]) => (
          <option key={name} value={name}>
            {says as string}
          </option>
        ))}
      </select>
    </span>
  );
}

function Tick({ label, on, turn }: { label: string; on: boolean; turn: (on: boolean) => void }) {
  return (
    <label>
      <input type="checkbox" checked={on} onChange={(event) => turn(event.target.checked)} /> {label}
    </label>
  );
}

/** What the document will be without, said before it is made. */
function Lacking({ of, manner }: { of: Of; manner: Manner }) {
  const told = useQuery(lackingAsked(of, manner));
  if (told.isError) return <Trouble thrown={told.error} />;
  if (!told.data || told.data.length === 0) return null;
  return (
    <ul className="plain small lacking">
      {told.data.map((lack) => (
        <li key={lack}>{lack}</li>
      ))}
    </ul>
  );
}
