/** What the window is called while a desk is open. */
import { useEffect } from "react";

export function useTitle(title: string): void {
  useEffect(() => {
    document.title = `${title} – Numbertaker`;
  }, [title]);
}
