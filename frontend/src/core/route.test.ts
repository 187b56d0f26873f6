import { describe, expect, it } from "vitest";
import { addressOf, placeOf, type Place } from "./route";

const places: Place[] = [
  { desk: "overview" },
  { desk: "findings", finding: null },
  { desk: "findings", finding: "gap:S1-52-9" },
  { desk: "component", component: "B 52/1" },
  { desk: "card", card: "S1-52", line: null, field: null },
  { desk: "card", card: "S1-52", line: "S1-52-9", field: "miles" },
  { desk: "sources", source: "S1" },
  { desk: "engines", engine: "E12" },
  { desk: "tables", table: "designations", key: "E08/number/208" },
  { desk: "log" },
];

describe("addresses", () => {
  it.each(places)("an address read back is the place it was made from: %o", (place) => {
    expect(placeOf(addressOf(place))).toEqual(place);
  });

  it("an address that names no place says so and keeps its path", () => {
    expect(placeOf("/nowhere/at/all")).toEqual({ desk: "nowhere", path: "/nowhere/at/all" });
  });

  it("a broken percent sign in an address breaks nothing", () => {
    expect(placeOf("/cards/50%")).toMatchObject({ desk: "card", card: "50%" });
  });
});
