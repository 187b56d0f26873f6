import { expect, it } from "vitest";
import { progressAddress, slipAddress } from "./addresses";

it("asks for a slip in whole pixels", () => {
  const box = { x: 10.4, y: 20.6, w: 99.5, h: 40.2 } as Parameters<typeof slipAddress>[1];
  expect(slipAddress({ sha256: "ab", page: 1 }, box, 6)).toBe("/api/scans/ab/1/slip?x=10&y=21&w=100&h=40&pad=6");
});

it("keeps a slash in an id from being part of the address", () => {
  expect(progressAddress("5/2")).toBe("/api/jobs/5%2F2/events");
});
