import { describe, expect, it } from "vitest";
import { counted, dayInWords, dayNumber, figure, momentInWords, newYear, sentence, spanInWords, yearOf } from "./days";

describe("days", () => {
  it("are counted from the first of January 1970, before it too", () => {
    expect(dayNumber("1970-01-02")).toBe(1);
    expect(dayNumber("1969-12-31")).toBe(-1);
    expect(dayNumber("1911-04")).toBeNull();
    expect(dayNumber(null)).toBeNull();
  });

  it("a year begins on its first day", () => {
    expect(yearOf(newYear(1903))).toBe(1903);
    expect(yearOf(newYear(1903) - 1)).toBe(1902);
  });

  it("are said in words, and what is no day is left as it stands", () => {
    expect(dayInWords("1911-04-01")).toBe("1 April 1911");
    expect(dayInWords("1911-04")).toBe("1911-04");
    expect(momentInWords("2026-11-25T12:04:31Z")).toBe("25 November 2026, 12:04");
  });

  it("a span is said with whichever end is known", () => {
    expect(spanInWords("1911-04-01", "1911-04-30")).toBe("1 April 1911 to 30 April 1911");
    expect(spanInWords("1911-04-01", null)).toBe("from 1 April 1911 on");
    expect(spanInWords(null, "1911-04-30")).toBe("until 30 April 1911");
    expect(spanInWords(null, null)).toBe("at no known time");
  });

  it("counts agree with their words", () => {
    expect(counted(0, "fitment")).toBe("no fitments");
    expect(counted(1, "fitment")).toBe("1 fitment");
    expect(counted(1200, "line")).toBe("1,200 lines");
    expect(figure(788517)).toBe("788,517");
    expect(sentence("one matter")).toBe("One matter");
  });
});
