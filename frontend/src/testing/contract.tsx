/** What every part of our own must keep, whatever it is for: the accessibility contract. */
import { QueryClient, QueryClientProvider } from "@tanstack/react-query";
import { cleanup, render } from "@testing-library/react";
import axe from "axe-core";
import type { ReactNode } from "react";
import { afterEach, expect, it } from "vitest";

afterEach(cleanup);

/** Draw something as the program would, with a client that never asks twice. */
export function drawn(part: ReactNode) {
  const queries = new QueryClient({ defaultOptions: { queries: { retry: false }, mutations: { retry: false } } });
  return render(<QueryClientProvider client={queries}>{part}</QueryClientProvider>);
}

/** Hold a part to the contract: axe's rules, a name on all that can be worked, the order of the page kept. */
export function keepsTheContract(name: string, part: () => ReactNode): void {
  it(`${name}: axe finds nothing in it`, async () => {
    const { container } = drawn(part());
    // Contrast needs a real browser; tests/browser looks at it there.
    const { violations } = await axe.run(container, { rules: { "color-contrast": { enabled: false }, region: { enabled: false } } });
    expect(violations.map((rule) => `${rule.id}: ${rule.nodes[0]?.html}`)).toEqual([]);
  });

  it(`${name}: all that can be worked has a name in words and keeps the order of the page`, () => {
    const { container } = drawn(part());
    for (const element of container.querySelectorAll<HTMLElement>("a, button, input, select, textarea, summary")) {
      const labels = element instanceof HTMLInputElement || element instanceof HTMLTextAreaElement || element instanceof HTMLSelectElement ? [...(element.labels ?? [])] : [];
      const words = element.getAttribute("aria-label") ?? ([...labels, element].map((one) => one.textContent).join(" "));
      expect(words, element.outerHTML).toMatch(/\p{L}|\d/u);
    }
    for (const element of container.querySelectorAll("[tabindex]"))
      expect(Number(element.getAttribute("tabindex"))).toBeLessThanOrEqual(0);
  });
}
