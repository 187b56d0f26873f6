import { describe, expect, it } from "vitest";
import { dayNumber } from "./days";
import { axisOf, layOut, milesAlong, milesTicks, placeOn, type Stay } from "./timeline";

const day = (iso: string) => dayNumber(iso) ?? Number.NaN;

function stay(engine: string, fitted: [string, string], removed: [string, string] | null, miles: Partial<Stay> = {}): Stay {
  return {
    engine,
    label: engine,
    degree: "near certain",
    fitted: [day(fitted[0]), day(fitted[1])],
    removed: removed === null ? [null, null] : [day(removed[0]), day(removed[1])],
    value: null,
    low: null,
    high: null,
    ...miles,
  };
}

describe("the axis", () => {
  it("begins and ends with a year and ticks at round ones", () => {
    const axis = axisOf(day("1913-08-10"), day("1947-12-31"), 560);
    expect(placeOn(axis, day("1913-01-01"))).toBe(0);
    expect(placeOn(axis, day("1948-01-01"))).toBe(560);
    expect(axis.ticks.map((tick) => tick.year)).toEqual([1915, 1920, 1925, 1930, 1935, 1940, 1945]);
  });

  it("keeps everything within its width", () => {
    const axis = axisOf(day("1913-08-10"), day("1914-01-01"), 100);
    expect(placeOn(axis, day("1900-01-01"))).toBe(0);
    expect(placeOn(axis, day("1990-01-01"))).toBe(100);
  });
});

describe("the layout", () => {
  const stays = [
    stay("208", ["1911-04-01", "1911-04-30"], ["1913-02-01", "1913-12-31"]),
    stay("232", ["1914-01-05", "1914-01-05"], ["1916-01-05", "1916-01-05"]),
    stay("208", ["1920-01-01", "1920-01-01"], null),
  ];

  it("gives each engine one lane, however often the component came back to it", () => {
    const layout = layOut(stays, 600);
    expect(layout?.lanes.map((lane) => lane.engine)).toEqual(["208", "232"]);
    expect(layout?.stretches.map((stretch) => stretch.lane)).toEqual([0, 1, 0]);
  });

  it("frays a soft end over its interval and leaves a sure one sharp", () => {
    const [first, second] = layOut(stays, 600)?.stretches ?? [];
    expect(first?.x[3]).toBeGreaterThan(first?.x[2] ?? 0);
    expect(second?.x[0]).toBe(second?.x[1]);
  });

  it("a component that is there still reaches to the end of the axis", () => {
    expect(layOut(stays, 600)?.stretches[2]?.x[3]).toBe(600);
  });

  it("no thread passes from lane to lane where nothing is known", () => {
    const gap = { from: day("1916-01-05"), to: day("1920-01-01") };
    expect(layOut(stays, 600)?.passages).toHaveLength(2);
    expect(layOut(stays, 600, [gap])?.passages).toHaveLength(1);
  });

  it("two stays at once on one engine stand side by side", () => {
    const twice = [
      stay("208", ["1911-01-01", "1911-01-01"], ["1915-01-01", "1915-01-01"]),
      stay("208", ["1913-01-01", "1913-01-01"], ["1916-01-01", "1916-01-01"]),
    ];
    expect(layOut(twice, 600)?.stretches.map((stretch) => stretch.beside)).toEqual([0, 1]);
  });

  it("dates that run backwards are still drawn from left to right", () => {
    const backwards = layOut([stay("212", ["1944-11-19", "1944-11-19"], ["1943-01-01", "1943-01-31"])], 600);
    const [a, b, c, d] = backwards?.stretches[0]?.x ?? [1, 0, 0, 0];
    expect(a <= b && b <= c && c <= d).toBe(true);
  });

  it("without a single day there is nothing to draw", () => {
    expect(layOut([], 600)).toBeNull();
  });
});

describe("the miles", () => {
  it("grow by cited figures only; an estimate widens the band", () => {
    const stays = [
      stay("208", ["1911-01-01", "1911-01-01"], ["1912-01-01", "1912-01-01"], { value: 30_000, low: 30_000, high: 30_000 }),
      stay("232", ["1912-02-01", "1912-02-01"], ["1913-01-01", "1913-01-01"], { value: null, low: 20_000, high: 40_000 }),
    ];
    const axis = axisOf(day("1911-01-01"), day("1913-01-01"), 600);
    expect(milesAlong(stays, axis).at(-1)).toMatchObject({ value: 30_000, low: 50_000, high: 70_000 });
  });

  it("never run backwards along the axis, even where stays overlap", () => {
    const stays = [
      stay("67", ["1948-06-01", "1948-06-01"], ["1954-01-09", "1954-01-09"], { value: 1, low: 1, high: 1 }),
      stay("70", ["1953-02-06", "1953-02-06"], ["1956-06-14", "1956-06-14"], { value: 1, low: 1, high: 1 }),
    ];
    const places = milesAlong(stays, axisOf(day("1948-01-01"), day("1956-12-31"), 600)).map((point) => point.x);
    expect([...places].sort((a, b) => a - b)).toEqual(places);
  });

  it("have a scale of round figures", () => {
    expect(milesTicks(788_517)).toEqual([0, 200_000, 400_000, 600_000]);
    expect(milesTicks(0)).toEqual([0]);
  });
});
