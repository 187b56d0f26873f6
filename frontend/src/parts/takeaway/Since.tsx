/** What changed since an edition that was kept: a document of its own, made as any other. */
import { useId, useState, type FormEvent } from "react";
import { useOrder, type Manner, type Of } from "../../api/exports";
import { Trouble } from "../Trouble";
import { Making } from "./Making";

export function Since({ of, manner }: { of: Of; manner: Manner }) {
  const id = useId();
  const [file, setFile] = useState<File | null>(null);
  const order = useOrder();
  const submit = async (event: FormEvent) => {
    event.preventDefault();
    if (file) order.mutate({ of, format: "docx", manner: { ...manner, plates: false, slips: false, evidence: false }, edition: await file.text() });
  };
  return (
    <>
      <form className="row" onSubmit={(event) => void submit(event)}>
        <span>
          <label htmlFor={id}>An earlier edition of this</label>{" "}
          <input id={id} type="file" accept="application/json,.json" onChange={(event) => setFile(event.target.files?.[0] ?? null)} />
        </span>
        <button disabled={!file || order.isPending}>Write what changed since then</button>
      </form>
      {order.isError && <Trouble thrown={order.error} />}
      {order.data && <Making key={order.data.export_id} export={order.data} />}
    </>
  );
}
