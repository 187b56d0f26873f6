/** Taking away: every choice has a name, an export says how far it is, and what is missing in a comparison is said. */
import { fireEvent, screen, waitFor } from "@testing-library/react";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { ExportView } from "../../api/exports";
import { drawn, keepsTheContract } from "../../testing/contract";
import { Comparisons } from "./Comparisons";
import { HouseStyles } from "./HouseStyles";
import { Making, inWords } from "./Making";
import { TakeAway } from "./TakeAway";

const MADE: ExportView = {
  export_id: 3,
  title: "Boiler 52",
  format: "docx",
  state: "done",
  stage: "setting",
  done: 0,
  of: 1,
  spent: 1.4,
  left: null,
  why: "",
  size: 152_300,
  name: "boiler-52.docx",
};
const GOING: ExportView = { ...MADE, state: "making", stage: "chapters", done: 40, of: 205, spent: 1, left: 95.2, size: null };
const KEPT = { line: "It ran 3 times. :: miles 3 equator", says: "It ran 3 times.", stands: false, told: "The figures contradict it." };

let sent: { address: string; method: string; body: unknown }[];

beforeEach(() => {
  sent = [];
  vi.stubGlobal("EventSource", class { addEventListener() {} close() {} });
  vi.stubGlobal("fetch", async (asked: Request | string, init?: RequestInit) => {
    const request = asked instanceof Request ? asked : new Request(new URL(asked, "http://localhost"), init);
    const { pathname } = new URL(request.url);
    const body = request.method === "GET" ? null : await request.json();
    sent.push({ address: pathname, method: request.method, body });
    const answer = pathname.endsWith("comparisons") ? [KEPT] : pathname.endsWith("exports") ? GOING : [];
    return new Response(JSON.stringify(answer), { headers: { "Content-Type": "application/json" } });
  });
});
afterEach(() => vi.unstubAllGlobals());

describe("taking a history away", () => {
  keepsTheContract("closed", () => <TakeAway of={{ component: "B52" }} what="the history" />);
  keepsTheContract("an export going on", () => <Making export={GOING} />);
  keepsTheContract("comparisons", () => <Comparisons component="B52" />);
  keepsTheContract("house styles", () => <HouseStyles chosen="archive" choose={() => undefined} />);

  it("orders what was chosen, of an engine too, and shows how far it is", async () => {
    drawn(<TakeAway of={{ engine: "E08" }} what="the history of this engine" />);
    const details = screen.getByText("Take the history of this engine away").closest("details")!;
    details.open = true;
    fireEvent(details, new Event("toggle"));
    fireEvent.change(screen.getByLabelText("For"), { target: { value: "pdf" } });
    fireEvent.click(screen.getByRole("button", { name: "Make it for print (PDF)" }));
    await screen.findByText("Writing the text, 40 of 205. About 2 minutes left.");
    const order = sent.find((one) => one.method === "POST")!;
    expect(order.body).toMatchObject({ engine: "E08", format: "pdf", manner: { style: "archive" }, edition: null });
  });

  it("says of each state what it means", () => {
    expect(inWords({ ...GOING, state: "waiting" })).toMatch(/waits until another/);
    expect(inWords({ ...GOING, stage: "setting", of: 1, left: null })).toMatch(/can’t be told yet/);
    expect(inWords({ ...GOING, state: "failed", why: "The disk is full." })).toBe("Boiler 52 could not be made. The disk is full.");
    expect(inWords(MADE)).toBe("Boiler 52 is made: 152 KB, in 1 second.");
  });

  it("says what is missing in a comparison, and keeps a whole one beside those there were", async () => {
    drawn(<Comparisons component="B52" />);
    await screen.findByText("The figures contradict it.");
    fireEvent.click(screen.getByRole("button", { name: /Hold it against/ }));
    expect(screen.getByRole("alert").textContent).toMatch(/Write the sentence/);
    fireEvent.change(screen.getByLabelText("The sentence"), { target: { value: "It had five engines." } });
    fireEvent.change(screen.getByLabelText("What of it"), { target: { value: "engines" } });
    fireEvent.change(screen.getByLabelText("How many times"), { target: { value: "1" } });
    fireEvent.change(screen.getByLabelText("Which number"), { target: { value: "5" } });
    fireEvent.click(screen.getByRole("button", { name: /Hold it against/ }));
    await waitFor(() => expect(sent.some((one) => one.method === "PUT")).toBe(true));
    expect(sent.find((one) => one.method === "PUT")!.body).toEqual({
      lines: [KEPT.line, "It had five engines. :: engines 1 count 5"],
    });
    fireEvent.click(screen.getByRole("button", { name: "Drop it: It ran 3 times." }));
    await waitFor(() => expect(sent.filter((one) => one.method === "PUT")).toHaveLength(2));
  });
});
