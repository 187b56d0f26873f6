import { expect, it } from "vitest";
import { reliability } from "../testing/fixtures";
import { asShare, diagramOf } from "./reliability";

it("what was found lies above what was said where cells are better than their confidence", () => {
  const { groups, ticks } = diagramOf(reliability, 400, 200);
  expect(groups.map((one) => one.label)).toEqual([".85–.93", ".98–.99"]);
  expect(groups[0]?.found).toBeLessThan(groups[0]?.said ?? 0);
  expect(groups[0]?.top).toBeLessThan(groups[0]?.found ?? 0);
  expect(groups[1]?.foot).toBeGreaterThan(groups[1]?.found ?? 0);
  expect(ticks[0]).toEqual({ percent: 100, y: 0 });
});

it("a share is written without its nought, and certainty as 1", () => {
  expect([asShare(0.5), asShare(1)]).toEqual([".50", "1"]);
});
