import { describe, expect, it } from "vitest";
import { degreeOf, hundredths, weightInWords } from "./degrees";

describe("degrees of evidence", () => {
  it.each([
    [1, "near certain"],
    [0.98, "near certain"],
    [0.979, "probable"],
    [0.85, "probable"],
    [0.849, "doubtful"],
    [0.5, "doubtful"],
    [0.499, "improbable"],
    [null, "unknown"],
  ] as const)("%s is %s", (sure, word) => {
    expect(degreeOf(sure)).toBe(word);
  });

  it("a claim that an open finding names is contradicted, whatever its figure", () => {
    expect(degreeOf(0.999, true)).toBe("contradicted");
  });

  it("nothing uncertain is called certain, and nothing possible impossible", () => {
    expect(hundredths(0.9999)).toBe("over 99 in 100");
    expect(hundredths(0.0001)).toBe("under 1 in 100");
    expect(hundredths(0.71)).toBe("71 in 100");
    expect(hundredths(1)).toBe("100 in 100");
  });

  it("a weight of one doubles the odds, of minus one halves them, of naught does nothing", () => {
    expect(weightInWords(1)).toBe("2.0 times likelier");
    expect(weightInWords(-1)).toBe("2.0 times less likely");
    expect(weightInWords(0)).toBe("makes no odds");
    expect(weightInWords(20)).toBe("over a thousand times likelier");
  });
});
