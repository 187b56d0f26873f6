/** Taking a history away: the format, the house style, the usage, and what is shown beside the words. */
import { useMutation, useQuery } from "@tanstack/react-query";
import { useId, useState, type FormEvent } from "react";
import { FORMATS, exportAddress, type Manner } from "../../api/addresses";
import { changedSince, lackingAsked } from "../../api/documents";
import { Trouble } from "../../parts/Trouble";

const USUAL: Manner = { style: "archive", dates: "british", distance: "miles", plates: false, slips: false, evidence: false };
const SAID = {
  docx: "a word processor (DOCX)",
  odt: "a word processor (ODT)",
  pdf: "print (PDF)",
  html: "a page to explore",
  md: "Markdown",
  tex: "LaTeX",
  txt: "plain text",
  json: "data (JSON)",
  edition: "an edition, to compare a later one with",
  site: "a site (zip)",
} as const;
const OF_ONE: readonly (typeof FORMATS)[number][] = FORMATS.filter((format) => format !== "site");

export function TakeAway({ component }: { component: string }) {
  const [open, setOpen] = useState(false);
  return (
    <details className="take-away" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>Take the history away</summary>
      {open && <Choices component={component} />}
    </details>
  );
}

function Choices({ component }: { component: string }) {
  const [format, setFormat] = useState<(typeof FORMATS)[number]>("docx");
  const [of, setOf] = useState<"component" | "everything">("component");
  const [manner, setManner] = useState(USUAL);
  const set = (part: Partial<Manner>) => setManner({ ...manner, ...part });
  const formats = of === "component" ? OF_ONE : FORMATS;
  const known = formats.includes(format) ? format : "docx";
  return (
    <>
      <div className="row">
        <Choice label="What" value={of} of={{ component: "this history", everything: "every history, as a book" }} choose={setOf} />
        <Choice label="For" value={known} of={Object.fromEntries(formats.map((name) => [name, SAID[name]]))} choose={setFormat} />
        <Choice
          label="Notes"
          value={manner.style}
          of={{ archive: "as an archive cites", journal: "as a journal cites", plain: "for any reader" }}
          choose={(style) => set({ style })}
        />
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
        {(known === "html" || known === "site") && (
          <Tick label="The slip of the scan in each note" on={manner.slips} turn={(slips) => set({ slips })} />
        )}
        {known === "pdf" && <Tick label="The data attached" on={manner.evidence} turn={(evidence) => set({ evidence })} />}
      </div>
      <p>
        <a className="chief" href={exportAddress(of === "component" ? component : null, known, manner)} download={known !== "html" || undefined}>
          Take it away for {SAID[known]}
        </a>
      </p>
      <Lacking component={of === "component" ? component : null} manner={manner} />
      {of === "component" && <Since component={component} manner={manner} />}
    </>
  );
}

interface ChoiceProps<T extends string> {
  label: string;
  value: T;
  of: Partial<Record<T, string>>;
  choose: (value: T) => void;
}

function Choice<T extends string>({ label, value, of, choose }: ChoiceProps<T>) {
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
function Lacking({ component, manner }: { component: string | null; manner: Manner }) {
  const told = useQuery(lackingAsked(component, manner));
  if (!told.data || told.data.length === 0) return null;
  return (
    <ul className="plain small">
      {told.data.map((lack) => (
        <li key={lack}>{lack}</li>
      ))}
    </ul>
  );
}

/** What changed since an edition that was kept: the document comes as a file. */
function Since({ component, manner }: { component: string; manner: Manner }) {
  const id = useId();
  const [file, setFile] = useState<File | null>(null);
  const changes = useMutation({
    mutationFn: async (chosen: File) => changedSince(component, await chosen.text(), manner),
    onSuccess: (made) => save(made, "changes.docx"),
  });
  const submit = (event: FormEvent) => {
    event.preventDefault();
    if (file) changes.mutate(file);
  };
  return (
    <form className="row" onSubmit={submit}>
      <span>
        <label htmlFor={id}>An earlier edition of this history</label>{" "}
        <input id={id} type="file" accept="application/json,.json" onChange={(event) => setFile(event.target.files?.[0] ?? null)} />
      </span>
      <button disabled={!file || changes.isPending}>Write what changed since then</button>
      {changes.isError && <Trouble thrown={changes.error} />}
    </form>
  );
}

function save(made: Blob, name: string) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(made);
  link.download = name;
  link.click();
  URL.revokeObjectURL(link.href);
}
