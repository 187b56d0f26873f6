import { describe, expect, it } from "vitest";
import { across, boxOf, glidedTo, hull, moved, onScreen, scanPx, screenPx, whole, zoomed, type Box, type ScanPx } from "./geometry";

const scan = { w: scanPx(2000), h: scanPx(1500) };
const view = { w: screenPx(800), h: screenPx(240) };
const box = (x: number, y: number, w: number, h: number): Box<ScanPx> => ({ x: scanPx(x), y: scanPx(y), w: scanPx(w), h: scanPx(h) });

describe("a scan in a window", () => {
  it("lies whole in its window, in the middle, its shape kept", () => {
    const lie = whole(scan, view);
    expect(lie.scale).toBeCloseTo(240 / 1500);
    expect(lie.left).toBeCloseTo((800 - 2000 * lie.scale) / 2);
    expect(lie.top).toBeCloseTo(0);
  });

  it("is never shown larger than it is when shown whole", () => {
    expect(whole({ w: scanPx(100), h: scanPx(50) }, view).scale).toBe(1);
  });

  it("lies with the stretch asked for over the whole width", () => {
    const at = onScreen(box(200, 0, 1600, 10), across(scanPx(200), scanPx(1800), view));
    expect(at.x).toBeCloseTo(0);
    expect(at.w).toBeCloseTo(800);
  });

  it("holds the point under the hand still while it grows", () => {
    const lie = whole(scan, view);
    const under = (of: typeof lie) => (300 - of.left) / of.scale;
    expect(under(zoomed(lie, 1.5, screenPx(300), screenPx(100), 0.01, 3))).toBeCloseTo(under(lie));
  });

  it("grows and shrinks only within its bounds", () => {
    const lie = whole(scan, view);
    expect(zoomed(lie, 1000, screenPx(0), screenPx(0), 0.1, 3).scale).toBe(3);
    expect(zoomed(lie, 0.0001, screenPx(0), screenPx(0), 0.1, 3).scale).toBe(0.1);
  });

  it("can't be moved out of its window", () => {
    const lie = across(scanPx(0), scan.w, view);
    const far = moved(lie, 0, -100_000, scan, view);
    expect(far.top).toBeCloseTo(240 - 1500 * lie.scale);
    expect(moved(far, 0, 100_000, scan, view).top).toBe(0);
  });

  it("glides until the line stands in the middle of the window, or as near as the edge allows", () => {
    const lie = across(scanPx(0), scan.w, view);
    const middle = onScreen(box(0, 750, 100, 20), glidedTo(box(0, 750, 100, 20), lie, scan, view));
    expect(middle.y + middle.h / 2).toBeCloseTo(120);
    expect(glidedTo(box(0, 0, 100, 20), lie, scan, view).top).toBe(0);
  });
});

describe("boxes", () => {
  it("come from four numbers, and from nothing less", () => {
    expect(boxOf([1, 2, 3, 4])).toEqual({ x: 1, y: 2, w: 3, h: 4 });
    expect(boxOf([1, 2, 3])).toBeNull();
    expect(boxOf(null)).toBeNull();
  });

  it("have a hull that holds them all", () => {
    expect(hull([box(10, 20, 30, 5), box(5, 22, 10, 40)])).toEqual({ x: 5, y: 20, w: 35, h: 42 });
    expect(hull([])).toBeNull();
  });
});
