/** Dragging with the pointer, told from a click by how far it went. */
import { useRef, useState, type PointerEvent } from "react";

const STILL = 5;

/** `pan` is told of each step; `click` of a press that went nowhere, with the place within the element. */
export function useDrag(pan: (dx: number, dy: number) => void, click: (x: number, y: number) => void) {
  const last = useRef<{ x: number; y: number; far: number } | null>(null);
  const [held, setHeld] = useState(false);
  const release = () => {
    last.current = null;
    setHeld(false);
  };
  const handlers = {
    onPointerDown: (event: PointerEvent<HTMLElement>) => {
      if (event.button !== 0) return;
      last.current = { x: event.clientX, y: event.clientY, far: 0 };
      event.currentTarget.setPointerCapture(event.pointerId);
      setHeld(true);
    },
    onPointerMove: (event: PointerEvent<HTMLElement>) => {
      if (last.current === null) return;
      const [dx, dy] = [event.clientX - last.current.x, event.clientY - last.current.y];
      last.current = { x: event.clientX, y: event.clientY, far: last.current.far + Math.abs(dx) + Math.abs(dy) };
      pan(dx, dy);
    },
    onPointerUp: (event: PointerEvent<HTMLElement>) => {
      const clicked = last.current !== null && last.current.far < STILL;
      release();
      if (!clicked) return;
      const frame = event.currentTarget.getBoundingClientRect();
      click(event.clientX - frame.left, event.clientY - frame.top);
    },
    onPointerCancel: release,
  };
  return [held, handlers] as const;
}
