/** The form of a source's cards: chosen, or learnt from one of them whose columns a person puts right. */
import { useQuery } from "@tanstack/react-query";
import { useId, useState, type FormEvent } from "react";
import { useRead } from "../../api/coming";
import { formsAsked, useChooseForm, useFormOfCard, useKeepForm } from "../../api/forms";
import type { CardSummary, FormBody, FormView } from "../../api/views";
import { HEADINGS } from "../../core/columns";
import { counted } from "../../core/days";
import { Asked } from "../../parts/Asked";
import { Progress } from "../../parts/Progress";
import { Trouble } from "../../parts/Trouble";
import { Link } from "../../shell/router";

const SIDES = { component: "one component", engine: "one engine", statement: "many: each line names both" };
const NAME = "[a-z0-9][a-z0-9\\-]*";

export function ItsForm({ source, cards }: { source: string; cards: readonly CardSummary[] }) {
  const forms = useQuery(formsAsked());
  const scanned = cards.filter((card) => card.scans > 0);
  if (scanned.length === 0) return null;
  return (
    <section className="forms" aria-labelledby="its-form">
      <h2 id="its-form">The form of its cards</h2>
      <Asked of={forms} what="the forms">
        {(data) => <Choose source={source} forms={data} scanned={scanned} />}
      </Asked>
      <Learn scanned={scanned} />
    </section>
  );
}

function Choose({ source, forms, scanned }: { source: string; forms: readonly FormView[]; scanned: readonly CardSummary[] }) {
  const choosing = useChooseForm(source);
  const id = useId();
  const own = forms.find((form) => form.sources.includes(source))?.name ?? "";
  if (forms.length === 0) return <p>No form has been learnt yet; its cards are read without one.</p>;
  return (
    <div className="forming">
      <label htmlFor={id}>Its cards have the form</label>
      <select id={id} value={own} disabled={choosing.isPending} onChange={(event) => choosing.mutate(event.target.value)}>
        <option value="">whichever fits, card by card, or none</option>
        {forms.map((form) => (
          <option key={form.name}>{form.name}</option>
        ))}
      </select>
      <p className="small">This holds for cards read from now on. A card that the form does not fit is read without it, and says so.</p>
      {choosing.isError && <Trouble thrown={choosing.error} />}
      {(choosing.isSuccess || own !== "") && <ReadThem cards={scanned} />}
    </div>
  );
}

function ReadThem({ cards }: { cards: readonly CardSummary[] }) {
  const reading = useRead();
  if (reading.data) return <Progress job={reading.data} />;
  return (
    <>
      <button disabled={reading.isPending} onClick={() => reading.mutate({ cards: cards.map((card) => card.card_id), again: true })}>
        Read {cards.length === 1 ? "its card" : `its ${counted(cards.length, "card")}`} again
      </button>
      {reading.isError && <Trouble thrown={reading.error} />}
    </>
  );
}

function Learn({ scanned }: { scanned: readonly CardSummary[] }) {
  const [card, setCard] = useState(scanned[0]?.card_id ?? "");
  const looking = useFormOfCard();
  const id = useId();
  const submit = (event: FormEvent) => {
    event.preventDefault();
    looking.mutate(card);
  };
  return (
    <details>
      <summary>Learn a form from one of its cards</summary>
      <form className="forming" onSubmit={submit}>
        <label htmlFor={id}>A card that is plainly written</label>
        <select id={id} value={card} onChange={(event) => setCard(event.target.value)}>
          {scanned.map((one) => (
            <option key={one.card_id} value={one.card_id}>
              {one.label}
            </option>
          ))}
        </select>
        <button disabled={looking.isPending}>{looking.isPending ? "Looking at it; this takes some seconds" : "Look at its columns"}</button>
        {looking.isError && <Trouble thrown={looking.error} />}
      </form>
      {looking.data && <PutRight key={looking.submittedAt} found={looking.data} card={looking.variables} />}
    </details>
  );
}

function PutRight({ found, card }: { found: FormBody; card: string }) {
  const [form, setForm] = useState(found);
  const [name, setName] = useState("");
  const keeping = useKeepForm();
  const id = useId();
  const change = (k: number, to: Partial<FormBody["columns"][number]>) =>
    setForm({ ...form, columns: form.columns.map((column, n) => (n === k ? { ...column, ...to } : column)) });
  const submit = (event: FormEvent) => {
    event.preventDefault();
    keeping.mutate({ name, form });
  };
  return (
    <form className="forming" onSubmit={submit}>
      <p>
        These columns were found on <Link to={{ desk: "card", card, line: null, field: null }}>this card</Link>, left to right. Put right what each is called
        and what it holds. Where there are too many or too few, choose a card that is written more plainly.
      </p>
      <ol>
        {form.columns.map((column, k) => (
          <li key={k} className="form-column">
            <input aria-label={`Title of column ${k + 1}`} value={column.title} onChange={(event) => change(k, { title: event.target.value })} />
            <select aria-label={`What column ${k + 1} holds`} value={column.field} onChange={(event) => change(k, { field: event.target.value })}>
              <option value="">none of these</option>
              {Object.entries(HEADINGS).map(([field, heading]) => (
                <option key={field} value={field}>
                  {heading}
                </option>
              ))}
            </select>
          </li>
        ))}
      </ol>
      <label htmlFor={`${id}-side`}>A card tells of</label>
      <select id={`${id}-side`} value={form.side} onChange={(event) => setForm({ ...form, side: event.target.value })}>
        {Object.entries(SIDES).map(([side, says]) => (
          <option key={side} value={side}>
            {says}
          </option>
        ))}
      </select>
      <label htmlFor={`${id}-name`}>What to call the form: small letters, figures and hyphens</label>
      <input id={`${id}-name`} required pattern={NAME} maxLength={60} placeholder="shed-card" value={name} onChange={(event) => setName(event.target.value)} />
      <button disabled={keeping.isPending}>Learn this form</button>
      {keeping.isError && <Trouble thrown={keeping.error} />}
      {keeping.data && (
        <p className="said" role="status">
          Learnt: {keeping.data.name}. It is tried on every card that is read from now on; above it can be chosen for this source.
        </p>
      )}
    </form>
  );
}
