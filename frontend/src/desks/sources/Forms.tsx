/** The learnt forms of the archive: their columns, which sources have them, sharing and forgetting them. */
import { useQuery } from "@tanstack/react-query";
import { useId, useState, type FormEvent } from "react";
import { formAddress, formsAsked, useForgetForm, useKeepForm } from "../../api/forms";
import type { FormBody, FormView, SourceSummary } from "../../api/views";
import { HEADINGS } from "../../core/columns";
import { Asked } from "../../parts/Asked";
import { Trouble } from "../../parts/Trouble";

export function Forms({ sources }: { sources: readonly SourceSummary[] }) {
  const forms = useQuery(formsAsked());
  return (
    <section className="forms" aria-labelledby="forms">
      <h2 id="forms">Forms of cards</h2>
      <p>
        A form is how a kind of card is laid out: its columns and their headings. The program reads cards without any; where it is told of one, it knows faded
        headings and odd columns by it. One is learnt from a card, on the page of its source.
      </p>
      <Asked of={forms} what="the forms">
        {(data) =>
          data.length === 0 ? (
            <p>No form has been learnt yet.</p>
          ) : (
            <ul className="known-forms">
              {data.map((form) => (
                <Known key={form.name} form={form} sources={sources} />
              ))}
            </ul>
          )
        }
      </Asked>
      <TakeInForm />
    </section>
  );
}

function Known({ form, sources }: { form: FormView; sources: readonly SourceSummary[] }) {
  const forgetting = useForgetForm();
  const [asked, setAsked] = useState<"no" | "yes" | "stayed">("no");
  const titles = form.sources.map((id) => sources.find((one) => one.source_id === id)?.title ?? id);
  return (
    <li>
      <strong>{form.name}</strong>: {form.columns.map(inWords).join(", ")}.{" "}
      {titles.length > 0 && <span className="soft">Chosen for {titles.join("; ")}.</span>}
      <div className="doings">
        <a href={formAddress(form.name)} download={`${form.name}.json`}>
          Save {form.name} to a file
        </a>
        {asked === "yes" ? (
          <>
            <button disabled={forgetting.isPending} onClick={() => forgetting.mutate(form.name)}>
              Forget {form.name}; cards stay as they were read
            </button>
            <button autoFocus onClick={() => setAsked("stayed")}>
              Keep it
            </button>
          </>
        ) : (
          <button autoFocus={asked === "stayed"} onClick={() => setAsked("yes")}>
            Forget {form.name}
          </button>
        )}
      </div>
      {forgetting.isError && <Trouble thrown={forgetting.error} />}
    </li>
  );
}

/** ‘Smithy’ (place): the printed title, and what it holds where that is not the same word. */
function inWords({ title, field }: FormView["columns"][number]): string {
  const heading = HEADINGS[field];
  if (heading === undefined) return title === "" ? "a column without a title" : `‘${title}’`;
  if (title === "") return heading.toLowerCase();
  return heading.toLowerCase() === title.toLowerCase() ? `‘${title}’` : `‘${title}’ (${heading.toLowerCase()})`;
}

function TakeInForm() {
  const keeping = useKeepForm();
  const [wrong, setWrong] = useState("");
  const [file, setFile] = useState<File | null>(null);
  const id = useId();
  const submit = async (event: FormEvent) => {
    event.preventDefault();
    setWrong("");
    if (file === null) return;
    const form = formIn(await file.text());
    if (form === null) setWrong(`${file.name}: expected a form that was saved from an archive such as this, found something else.`);
    else keeping.mutate({ name: form.name ?? "", form });
  };
  return (
    <form className="forming" onSubmit={(event) => void submit(event)}>
      <label htmlFor={id}>A form that somebody shared (a .json file)</label>
      <input id={id} type="file" accept=".json" onChange={(event) => setFile(event.target.files?.[0] ?? null)} />
      <button disabled={file === null || keeping.isPending}>Take the form in</button>
      {wrong !== "" && (
        <div className="trouble" role="alert">
          <p>{wrong}</p>
        </div>
      )}
      {keeping.isError && <Trouble thrown={keeping.error} />}
      {keeping.data && (
        <p className="said" role="status">
          Taken in: {keeping.data.name}.
        </p>
      )}
    </form>
  );
}

/** What a file says, if it looks like a form at all; the program looks at it more closely. */
export function formIn(text: string): FormBody | null {
  try {
    const body: unknown = JSON.parse(text);
    const looks = typeof body === "object" && body !== null && "format" in body && "columns" in body && "name" in body;
    return looks ? (body as FormBody) : null;
  } catch {
    return null;
  }
}
