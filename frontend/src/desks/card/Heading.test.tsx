import { fireEvent, screen, waitFor } from "@testing-library/react";
import { useState } from "react";
import { beforeEach, describe, expect, it, vi } from "vitest";
import { setWho } from "../../shell/settings";
import { drawn, keepsTheContract } from "../../testing/contract";
import { cellView, nothingChanged, twoLines } from "../../testing/fixtures";
import { Heading } from "./Heading";
import { startOf, type Spot } from "./spots";
import { useCorrection } from "./useCorrection";

function Desk({ text = "52" }) {
  const page = { ...twoLines, heading: { heading: cellView("heading", text) } };
  const [spot, setSpot] = useState<Spot>(startOf(page, null, null));
  return <Heading page={page} spot={spot} choose={setSpot} correction={useCorrection()} />;
}

const heading = () => screen.getByRole("button", { name: /^Heading/ });
const typing = () => screen.getByLabelText<HTMLInputElement>("Heading of the whole card, as it stands on the scan");

beforeEach(() => setWho("A. Reader"));

describe("the heading of a card", () => {
  keepsTheContract("the heading", () => <Desk />);

  it("says, once it is in hand, that it holds for the whole card", () => {
    drawn(<Desk />);
    fireEvent.click(heading());
    expect(screen.getByText(/holds for the whole card, 2 lines/)).toBeDefined();
  });

  it("is corrected where it stands, and Escape brings the keyboard back to it", () => {
    drawn(<Desk />);
    fireEvent.click(heading());
    fireEvent.click(heading());
    expect(screen.getByRole("button", { name: "Write ‘52’ for the whole card, 2 lines" })).toBeDefined();
    fireEvent.keyDown(typing(), { key: "Escape" });
    expect(document.activeElement).toBe(heading());
  });

  it("of which nothing was read can still be typed in, as one decision on the first line", async () => {
    const sent: unknown[] = [];
    vi.stubGlobal("fetch", async (request: Request) => {
      sent.push(await request.json());
      return new Response(JSON.stringify({ decision: {}, changed: nothingChanged }), { status: 201, headers: { "Content-Type": "application/json" } });
    });
    drawn(<Desk text="" />);
    expect(heading().textContent).toContain("nothing is read here");
    fireEvent.click(heading());
    fireEvent.click(heading());
    fireEvent.change(typing(), { target: { value: "53" } });
    fireEvent.keyDown(typing(), { key: "Enter" });
    await waitFor(() => expect(sent).toHaveLength(1));
    expect(sent[0]).toMatchObject({ kind: "cell", target: "S1-52-1/heading", ruling: "53" });
  });
});
