import { expect, it } from "vitest";
import { exportAddress } from "./addresses";

const usual = { style: "archive", dates: "british", distance: "miles", plates: false, slips: false, evidence: false } as const;

it("asks for nothing that is as usual", () => {
  expect(exportAddress("B52", "docx", usual)).toBe("/api/components/B52/history.docx");
});

it("asks for what was chosen, of one history or of all", () => {
  expect(exportAddress(null, "pdf", { ...usual, style: "journal", plates: true })).toBe("/api/book/history.pdf?style=journal&plates=true");
});

it("keeps a slash in an id from being part of the address", () => {
  expect(exportAddress("B/5 2", "json", usual)).toBe("/api/components/B%2F5%202/history.json");
});
