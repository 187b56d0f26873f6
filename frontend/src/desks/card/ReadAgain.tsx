/** Read this card, or read it again; corrections that people made stand over any new reading. */
import { useRead } from "../../api/coming";
import { Progress } from "../../parts/Progress";
import { Trouble } from "../../parts/Trouble";

export function ReadAgain({ card, read }: { card: string; read: boolean }) {
  const reading = useRead();
  if (reading.data) return <Progress job={reading.data} />;
  return (
    <>
      <button disabled={reading.isPending} onClick={() => reading.mutate({ cards: [card], again: read })}>
        {read ? "Read this card again" : "Read this card"}
      </button>
      {reading.isError && <Trouble thrown={reading.error} />}
    </>
  );
}
