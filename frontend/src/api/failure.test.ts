import { describe, expect, it } from "vitest";
import { asFailure, detailInWords, Failure, failureIn } from "./failure";

describe("failures", () => {
  it("a body of the program is told word for word", () => {
    const failure = failureIn({ code: "bad-date", message: "The date '31.2.11' is none.", details: [{ row: 12 }] }, 422);
    expect([failure.code, failure.message, failure.details]).toEqual(["bad-date", "The date '31.2.11' is none.", [{ row: 12 }]]);
  });

  it("an answer without a body still says something", () => {
    expect(failureIn(null, 502).message).toContain("502");
  });

  it("no answer at all says how to start the program and that nothing is lost", () => {
    expect(asFailure(new TypeError("Failed to fetch")).message).toMatch(/start.*still here/s);
    const kept = new Failure("x", "y");
    expect(asFailure(kept)).toBe(kept);
    expect(asFailure("odd").message).toBe("odd");
  });

  it("a detail says where, what was expected and what was found", () => {
    expect(detailInWords({ file: "lines.csv", row: 12, column: "miles", expected: "a figure", found: "6l,204" })).toBe(
      "lines.csv, row 12, column miles: expected a figure, found 6l,204",
    );
    expect(detailInWords({ found: "nothing" })).toBe("found nothing");
  });
});
