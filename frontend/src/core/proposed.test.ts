import { expect, it } from "vitest";
import { proposedCell } from "../testing/fixtures";
import { proposedAfter } from "./proposed";

it("what a decision proposes anew comes in, what it no longer proposes goes", () => {
  const first = proposedAfter([], [proposedCell("S1-52-1", "12,350", "72,350"), proposedCell("S1-52-2", "1,100", "7,100")]);
  expect(first.map((one) => one.proposed)).toEqual(["72,350", "7,100"]);
  const then = proposedAfter(first, [proposedCell("S1-52-1", "12,350", ""), proposedCell("S1-52-2", "1,100", "7,700")]);
  expect(then.map((one) => one.proposed)).toEqual(["7,700"]);
});
