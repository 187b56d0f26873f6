/** The first screen: nothing is decided here without a name to it. */
import { useState, type FormEvent } from "react";
import { setWho } from "./settings";

export function WhoIsWorking({ now = "", done }: { now?: string; done?: () => void }) {
  const [name, setName] = useState(now);
  const [missing, setMissing] = useState(false);
  const submit = (event: FormEvent) => {
    event.preventDefault();
    if (name.trim() === "") return setMissing(true);
    setWho(name);
    done?.();
  };
  return (
    <main className="naming" id="desk">
      <h1>Who is working?</h1>
      <p>
        Every decision is kept with its reason and the name of whoever made it. The name stays on this machine; you can
        change it from any screen.
      </p>
      <form onSubmit={submit} noValidate>
        <label htmlFor="who">Your name, as it should stand in the log</label>
        <input
          id="who"
          autoFocus
          autoComplete="name"
          value={name}
          aria-invalid={missing}
          aria-describedby={missing ? "who-missing" : undefined}
          onChange={(event) => setName(event.target.value)}
        />
        {missing && (
          <p id="who-missing" className="trouble" role="alert">
            A name was expected and none was given. Type one; initials will do.
          </p>
        )}
        <p className="row">
          <button className="chief">Start work under this name</button>
          {done && (
            <button type="button" onClick={done}>
              Go on as {now}
            </button>
          )}
        </p>
      </form>
    </main>
  );
}
