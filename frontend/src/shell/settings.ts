/** What this machine remembers: who is working, and whether it is day or night. Nothing else is kept here. */
import { useSyncExternalStore } from "react";

export type Light = "day" | "night" | "as the machine";

const WHO = "numbertaker.who";
const LIGHT = "numbertaker.light";
const listeners = new Set<() => void>();

function listen(listener: () => void): () => void {
  listeners.add(listener);
  window.addEventListener("storage", listener);
  return () => {
    listeners.delete(listener);
    window.removeEventListener("storage", listener);
  };
}

function write(key: string, value: string): void {
  if (value === "") window.localStorage.removeItem(key);
  else window.localStorage.setItem(key, value);
  for (const listener of [...listeners]) listener();
}

const who = (): string => window.localStorage.getItem(WHO) ?? "";

const light = (): Light => {
  const kept = window.localStorage.getItem(LIGHT);
  return kept === "day" || kept === "night" ? kept : "as the machine";
};

/** The name that decisions are signed with; empty until someone gave it. */
export function useWho(): string {
  return useSyncExternalStore(listen, who);
}

/** Keep the name of whoever is working; empty forgets it. */
export function setWho(name: string): void {
  write(WHO, name.trim());
}

export function useLight(): Light {
  return useSyncExternalStore(listen, light);
}

export function setLight(chosen: Light): void {
  write(LIGHT, chosen === "as the machine" ? "" : chosen);
  showLight();
}

/** Tell the style sheet which light is chosen. */
export function showLight(): void {
  const chosen = light();
  if (chosen === "as the machine") delete document.documentElement.dataset.light;
  else document.documentElement.dataset.light = chosen;
}
