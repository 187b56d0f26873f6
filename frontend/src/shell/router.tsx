/** A router of one hook and one link: the address bar is the state. */
import { useCallback, useSyncExternalStore, type AnchorHTMLAttributes, type MouseEvent, type ReactNode } from "react";
import { addressOf, placeOf, type Place } from "../core/route";

const listeners = new Set<() => void>();

function listen(listener: () => void): () => void {
  listeners.add(listener);
  window.addEventListener("popstate", listener);
  return () => {
    listeners.delete(listener);
    window.removeEventListener("popstate", listener);
  };
}

/** Go to a place; `replace` leaves no step in the history of the browser. */
export function go(place: Place, { replace = false } = {}): void {
  const address = addressOf(place);
  if (address === window.location.pathname + window.location.search) return;
  window.history[replace ? "replaceState" : "pushState"](null, "", address);
  for (const listener of [...listeners]) listener();
}

/** The place that the address bar names now. */
export function usePlace(): Place {
  const address = useSyncExternalStore(listen, () => window.location.pathname + window.location.search);
  return placeOf(address);
}

type LinkProps = Omit<AnchorHTMLAttributes<HTMLAnchorElement>, "href"> & { to: Place; children: ReactNode };

/** A real link: middle click, right click and Ctrl do what they do anywhere. */
export function Link({ to, onClick, children, ...rest }: LinkProps) {
  const follow = useCallback(
    (event: MouseEvent<HTMLAnchorElement>) => {
      onClick?.(event);
      if (event.defaultPrevented || event.button !== 0) return;
      if (event.metaKey || event.ctrlKey || event.shiftKey || event.altKey) return;
      event.preventDefault();
      go(to);
    },
    [onClick, to],
  );
  return (
    <a href={addressOf(to)} onClick={follow} {...rest}>
      {children}
    </a>
  );
}
