/** House styles of the archive's own: begun with the text of another, checked, and kept. */
import { useMutation } from "@tanstack/react-query";
import { useId, useState, type FormEvent } from "react";
import { styleText, useKeepStyle } from "../../api/exports";
import { Trouble } from "../Trouble";
import { Field } from "./Comparisons";

export function HouseStyles({ chosen, choose }: { chosen: string; choose: (style: string) => void }) {
  const id = useId();
  const [name, setName] = useState("");
  const [text, setText] = useState("");
  const begin = useMutation({ mutationFn: styleText, onSuccess: setText });
  const keep = useKeepStyle();
  const submit = (event: FormEvent) => {
    event.preventDefault();
    keep.mutate({ name: name.trim(), text }, { onSuccess: (kept) => choose(kept.name) });
  };
  return (
    <details className="beside">
      <summary>House styles</summary>
      <p className="small">
        How notes and the list of sources name a source. A style is a text with one field in braces in each part; a part whose field is not
        stated is left out. Begin with the style that is chosen above, and keep it under a name of your own.
      </p>
      <p>
        <button disabled={begin.isPending} onClick={() => begin.mutate(chosen)}>
          Begin with the style ‘{chosen}’
        </button>
      </p>
      {begin.isError && <Trouble thrown={begin.error} />}
      {text !== "" && (
        <form onSubmit={submit}>
          <p className="wide-field">
            <label htmlFor={id}>The style</label>
            <textarea id={id} className="style-text" rows={16} value={text} spellCheck={false} onChange={(event) => setText(event.target.value)} />
          </p>
          <div className="row">
            <Field label="Its name, such as our-journal" value={name} type={setName} />
            <button disabled={keep.isPending || name.trim() === ""}>Keep this style</button>
          </div>
          {keep.isError && <Trouble thrown={keep.error} />}
          {keep.data && !keep.isError && <p role="status">The style ‘{keep.data.title}’ is kept, and chosen.</p>}
        </form>
      )}
    </details>
  );
}
