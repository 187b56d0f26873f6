import { describe, expect, it } from "vitest";
import { columnsOf, columnWord, ruledAs } from "./columns";
import { scanPx, type Box, type ScanPx } from "./geometry";

const box = (x: number, w: number): Box<ScanPx> => ({ x: scanPx(x), y: scanPx(0), w: scanPx(w), h: scanPx(20) });

describe("columns", () => {
  it("stand in the order of a register line, unknown ones last under their printed title", () => {
    const lines = [{ cells: { remarks: 1, Shop: 1, engine: 1 } }, { cells: { miles: 1 } }];
    expect(columnsOf(lines)).toEqual(["engine", "miles", "remarks", "Shop"]);
    expect(columnWord("total_miles")).toBe("Total miles");
    expect(columnWord("Shop")).toBe("Shop");
  });

  it("are ruled midway between the ink on either side, and their shares make up the whole", () => {
    const ruling = ruledAs(new Map([["miles", [box(400, 100)]], ["engine", [box(100, 60), box(105, 50)]]]));
    expect(ruling?.fields).toEqual(["engine", "miles"]);
    expect(ruling?.shares.reduce((sum, share) => sum + share, 0)).toBeCloseTo(1);
    const edge = (ruling?.from ?? 0) + (ruling?.shares[0] ?? 0) * ((ruling?.to ?? 0) - (ruling?.from ?? 0));
    expect(edge).toBeGreaterThan(155);
    expect(edge).toBeLessThan(400);
  });

  it("are not ruled where a column has no place on the scan", () => {
    expect(ruledAs(new Map([["engine", [box(100, 60)]], ["miles", []]]))).toBeNull();
  });

  it("one stray stroke moves no column", () => {
    const engine = Array.from({ length: 20 }, () => box(100, 60));
    const stray = ruledAs(new Map([["engine", [...engine, box(100, 900)]], ["miles", [box(400, 100)]]]));
    expect(stray?.shares[0]).toBeGreaterThan(0.3);
  });
});
