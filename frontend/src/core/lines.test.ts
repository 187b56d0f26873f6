import { describe, expect, it } from "vitest";
import { lineBoxOf, slantOf } from "./lines";

const cell = (text: string, box: number[] | null) => ({ text, box });

describe("where a line stands", () => {
  it("is where its inked cells stand, without the heading that its first line carries", () => {
    const line = {
      box: [50, 10, 900, 110],
      cells: { heading: cell("52", [200, 10, 40, 30]), engine: cell("210", [60, 90, 40, 20]), miles: cell("102,804", [400, 92, 80, 22]) },
    };
    expect(lineBoxOf(line)).toEqual({ x: 60, y: 90, w: 420, h: 24 });
  });

  it("is its own box where no cell has one", () => {
    expect(lineBoxOf({ box: [1, 2, 3, 4], cells: { engine: cell("210", null) } })).toEqual({ x: 1, y: 2, w: 3, h: 4 });
    expect(lineBoxOf({ box: null, cells: {} })).toBeNull();
  });

  it("on a card that lies aslant is as high as its writing, not as its hull", () => {
    const cells = { engine: cell("59", [60, 90, 40, 20]), miles: cell("39,781", [400, 110, 80, 22]), place: cell("Thrunby", [700, 130, 90, 21]) };
    expect(slantOf({ box: null, cells }, 3)).toMatchObject({ x: 425, height: 22, turned: 3 });
    expect(slantOf({ box: null, cells }, 0)).toMatchObject({ height: 61 });
  });
});
