/** Taking in: scans with the source that they are of, and evidence packages. */
import { useId, useState, type DragEvent, type FormEvent } from "react";
import { useImport, useTakeIn } from "../../api/coming";
import type { ImportedView, SourceSummary, TakenInView } from "../../api/views";
import { counted, sentence } from "../../core/days";
import { Trouble } from "../../parts/Trouble";

const NEW = "";
const KINDS = [
  "component-card",
  "engine-card",
  "register",
  "works-list",
  "withdrawal-list",
  "ledger",
  "published",
  "photograph",
  "letter",
  "recollection",
  "other",
];

export function TakeIn({ sources }: { sources: readonly SourceSummary[] }) {
  return (
    <section className="take-in" aria-labelledby="take-in">
      <h2 id="take-in">Take in</h2>
      {sources.length === 0 && <Package />}
      <Scans sources={sources} />
      {sources.length > 0 && <Package />}
    </section>
  );
}

function Scans({ sources }: { sources: readonly SourceSummary[] }) {
  const [files, setFiles] = useState<readonly File[]>([]);
  const [source, setSource] = useState(sources[0]?.source_id ?? NEW);
  const [fresh, setFresh] = useState({ id: "", kind: "component-card", title: "" });
  const [over, setOver] = useState(false);
  const taking = useTakeIn();
  const id = useId();
  const drop = (event: DragEvent) => {
    event.preventDefault();
    setOver(false);
    setFiles([...event.dataTransfer.files]);
  };
  const submit = (event: FormEvent) => {
    event.preventDefault();
    const of = source === NEW ? { source: fresh.id, kind: fresh.kind, title: fresh.title } : { source };
    taking.mutate({ files, ...of }, { onSuccess: () => setFiles([]) });
  };
  return (
    <form
      data-over={over || undefined}
      onSubmit={submit}
      onDragOver={(event) => {
        event.preventDefault();
        setOver(true);
      }}
      onDragLeave={() => setOver(false)}
      onDrop={drop}
    >
      <label htmlFor={`${id}-files`}>Scans (JPEG, PNG, TIFF, HEIC or PDF): choose them, or drop them here</label>
      <input
        id={`${id}-files`}
        type="file"
        multiple
        accept=".jpg,.jpeg,.png,.tif,.tiff,.heic,.heif,.pdf"
        onChange={(event) => setFiles([...(event.target.files ?? [])])}
      />
      <label htmlFor={`${id}-source`}>They are scans of</label>
      <select id={`${id}-source`} value={source} onChange={(event) => setSource(event.target.value)}>
        {sources.map((one) => (
          <option key={one.source_id} value={one.source_id}>
            {one.title}
          </option>
        ))}
        <option value={NEW}>a source that is new here</option>
      </select>
      {source === NEW && <NewSource fresh={fresh} setFresh={setFresh} />}
      <button disabled={files.length === 0 || taking.isPending}>
        {files.length === 0 ? "Take scans in" : `Take in ${counted(files.length, "scan file")}`}
      </button>
      {taking.isError && <Trouble thrown={taking.error} />}
      {taking.data && <Came taken={taking.data} />}
    </form>
  );
}

interface Fresh {
  id: string;
  kind: string;
  title: string;
}

function NewSource({ fresh, setFresh }: { fresh: Fresh; setFresh: (fresh: Fresh) => void }) {
  const id = useId();
  return (
    <>
      <label htmlFor={`${id}-id`}>A short name for it, such as S5</label>
      <input id={`${id}-id`} required value={fresh.id} onChange={(event) => setFresh({ ...fresh, id: event.target.value })} />
      <label htmlFor={`${id}-kind`}>Its kind</label>
      <select id={`${id}-kind`} value={fresh.kind} onChange={(event) => setFresh({ ...fresh, kind: event.target.value })}>
        {KINDS.map((kind) => (
          <option key={kind} value={kind}>
            {kind.replaceAll("-", " ")}
          </option>
        ))}
      </select>
      <label htmlFor={`${id}-title`}>Its title, as it should be cited</label>
      <input id={`${id}-title`} required value={fresh.title} onChange={(event) => setFresh({ ...fresh, title: event.target.value })} />
    </>
  );
}

function Came({ taken }: { taken: TakenInView }) {
  return (
    <div className="said" role="status">
      <p>
        {sentence(counted(taken.scans.length, "scan"))} taken in, on {counted(taken.cards.length, "card")}.
        {taken.known_already.length > 0 && ` ${sentence(counted(taken.known_already.length, "file"))} had been here already.`}
      </p>
      {taken.problems.map((problem) => (
        <p key={problem}>{problem}</p>
      ))}
    </div>
  );
}

function Package() {
  const [file, setFile] = useState<File | null>(null);
  const [prefix, setPrefix] = useState("");
  const importing = useImport();
  const id = useId();
  const submit = (event: FormEvent) => {
    event.preventDefault();
    if (file) importing.mutate({ file, prefix });
  };
  return (
    <form onSubmit={submit}>
      <label htmlFor={`${id}-file`}>An evidence package (a .zip or an .xlsx)</label>
      <input
        id={`${id}-file`}
        type="file"
        accept=".zip,.xlsx"
        onChange={(event) => setFile(event.target.files?.[0] ?? null)}
      />
      <label htmlFor={`${id}-prefix`}>Letters to put before its ids, only if they clash with those here</label>
      <input id={`${id}-prefix`} value={prefix} onChange={(event) => setPrefix(event.target.value)} />
      <button disabled={file === null || importing.isPending}>Take the package in</button>
      {importing.isError && <Trouble thrown={importing.error} />}
      {importing.data && <Imported came={importing.data} />}
    </form>
  );
}

function Imported({ came }: { came: ImportedView }) {
  const rows = Object.entries(came.counts).filter(([, count]) => count > 0);
  return (
    <div className="said" role="status">
      <p>
        {rows.length === 0
          ? "Everything in it was here already; nothing has changed."
          : `Taken in: ${rows.map(([table, count]) => `${counted(count, "row")} of ${table}`).join(", ")}.`}
      </p>
      {came.notices.map((notice) => (
        <p key={notice}>{notice}</p>
      ))}
    </div>
  );
}
