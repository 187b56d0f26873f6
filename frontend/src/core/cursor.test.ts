import { describe, expect, it } from "vitest";
import { afterKey } from "./cursor";

describe("the cursor of a grid", () => {
  it.each([
    ["ArrowUp", { row: 0, column: 2 }],
    ["ArrowDown", { row: 2, column: 2 }],
    ["ArrowLeft", { row: 1, column: 1 }],
    ["ArrowRight", { row: 1, column: 3 }],
    ["Home", { row: 1, column: 0 }],
    ["End", { row: 1, column: 4 }],
    ["PageUp", { row: 0, column: 2 }],
    ["PageDown", { row: 9, column: 2 }],
  ])("%s takes it where one expects", (key, to) => {
    expect(afterKey({ row: 1, column: 2 }, key, 11, 5)).toEqual(to);
  });

  it("with Ctrl, Home and End go to the corners", () => {
    expect(afterKey({ row: 1, column: 2 }, "Home", 11, 5, true)).toEqual({ row: 0, column: 0 });
    expect(afterKey({ row: 1, column: 2 }, "End", 11, 5, true)).toEqual({ row: 10, column: 4 });
  });

  it("stays within the grid, and other keys do not move it", () => {
    expect(afterKey({ row: 0, column: 0 }, "ArrowUp", 11, 5)).toEqual({ row: 0, column: 0 });
    expect(afterKey({ row: 0, column: 0 }, "x", 11, 5)).toBeNull();
  });
});
