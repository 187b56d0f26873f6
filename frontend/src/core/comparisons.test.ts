import { expect, it } from "vitest";
import { NEW, lineOf, missingIn, ofQuantity } from "./comparisons";

const round = { ...NEW, says: "It ran 30 times round the Earth.", times: "30" };

it("writes the line that the program takes", () => {
  expect(lineOf(round)).toBe("It ran 30 times round the Earth. :: miles 30 equator");
  expect(lineOf({ ...round, measure: "between", from: "54.10, -2.60", to: "55.02,-1.40" })).toBe(
    "It ran 30 times round the Earth. :: miles 30 between 54.10,-2.60 55.02,-1.40",
  );
  expect(lineOf({ ...ofQuantity(round, "years"), number: "20", source: "S7", place: " page 12 " })).toBe(
    "It ran 30 times round the Earth. :: years 30 years 20 @ S7, page 12",
  );
});

it("keeps a measure that goes with the quantity, and takes another for one that does not", () => {
  expect(ofQuantity({ ...round, measure: "years" }, "days").measure).toBe("years");
  expect(ofQuantity(round, "engines").measure).toBe("count");
});

it("says what is missing, and where a place is not of the form", () => {
  expect(missingIn(NEW)).toMatch(/sentence/);
  expect(missingIn({ ...round, says: "a :: b" })).toMatch(/two colons/);
  expect(missingIn({ ...round, times: "many" })).toMatch(/how many times/);
  expect(missingIn({ ...round, measure: "miles" })).toMatch(/what number/);
  expect(missingIn({ ...round, measure: "between", from: "Brackwith", to: "55,1" })).toMatch(/‘Brackwith’ is not/);
  expect(missingIn(round)).toBe("");
});
