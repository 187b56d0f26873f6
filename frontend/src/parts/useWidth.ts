/** How wide an element is now, in whole pixels of the screen. */
import { useLayoutEffect, useRef, useState } from "react";

export function useWidth<E extends HTMLElement>() {
  const frame = useRef<E>(null);
  const [width, setWidth] = useState(0);
  useLayoutEffect(() => {
    const element = frame.current;
    if (element === null) return;
    const measure = () => setWidth(Math.floor(element.clientWidth));
    measure();
    if (typeof ResizeObserver === "undefined") return;
    const watch = new ResizeObserver(measure);
    watch.observe(element);
    return () => watch.disconnect();
  }, []);
  return [width, frame] as const;
}
