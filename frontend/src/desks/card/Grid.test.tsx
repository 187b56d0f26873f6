import { fireEvent, screen, waitFor } from "@testing-library/react";
import { useState } from "react";
import { beforeEach, describe, expect, it, vi } from "vitest";
import { setWho } from "../../shell/settings";
import { drawn, keepsTheContract } from "../../testing/contract";
import { nothingChanged, twoLines } from "../../testing/fixtures";
import { Grid } from "./Grid";
import { startOf, type Spot } from "./spots";
import { useCorrection } from "./useCorrection";

function Desk() {
  const [spot, setSpot] = useState<Spot>(startOf(twoLines, null, null));
  const correction = useCorrection();
  return (
    <Grid
      page={twoLines}
      columns={twoLines.columns}
      ruling={null}
      reach={null}
      scan={null}
      gutter={40}
      width={800}
      spot={spot}
      choose={(next) => {
        correction.leave();
        setSpot(next);
      }}
      correction={correction}
    />
  );
}

const inHand = () => document.querySelector<HTMLElement>('[role="gridcell"][tabindex="0"]');
const press = (key: string) => fireEvent.keyDown(inHand() ?? document.body, { key });

beforeEach(() => setWho("A. Reader"));

describe("the grid of a card", () => {
  keepsTheContract("the grid", () => <Desk />);

  it("has one cell in the order of the page, and the arrows go from there", () => {
    drawn(<Desk />);
    expect(document.querySelectorAll('[role="gridcell"][tabindex="0"]')).toHaveLength(1);
    press("ArrowDown");
    press("ArrowRight");
    expect(inHand()?.textContent).toContain("89,238");
    expect(document.activeElement).toBe(inHand());
  });

  it("Enter opens the cell with a reason ready, Escape gives up what was typed", () => {
    drawn(<Desk />);
    press("Enter");
    const typing = screen.getByLabelText("Engine of line 1, as it stands on the scan");
    fireEvent.change(typing, { target: { value: "211" } });
    expect(screen.getByLabelText<HTMLInputElement>("Reason").value).toBe("Read again from the scan");
    fireEvent.keyDown(typing, { key: "Escape" });
    expect(inHand()?.textContent).toContain("210");
  });

  it("a refusal is told as a sentence and what was typed is still there", async () => {
    vi.stubGlobal("fetch", () =>
      Promise.resolve(
        new Response(JSON.stringify({ code: "no-reason", message: "A reason was expected.", details: [] }), {
          status: 422,
          headers: { "Content-Type": "application/json" },
        }),
      ),
    );
    drawn(<Desk />);
    press("Enter");
    const typing = screen.getByLabelText<HTMLInputElement>("Engine of line 1, as it stands on the scan");
    fireEvent.change(typing, { target: { value: "211" } });
    fireEvent.keyDown(typing, { key: "Enter" });
    await waitFor(() => expect(screen.getByRole("alert").textContent).toContain("A reason was expected."));
    expect(screen.getByLabelText<HTMLInputElement>("Engine of line 1, as it stands on the scan").value).toBe("211");
  });

  it("the decision that is sent names the cell, the text, the reason and whoever is working", async () => {
    const sent: unknown[] = [];
    vi.stubGlobal("fetch", async (request: Request) => {
      sent.push(await request.json());
      return new Response(JSON.stringify({ decision: {}, changed: nothingChanged }), { status: 201, headers: { "Content-Type": "application/json" } });
    });
    drawn(<Desk />);
    press("ArrowRight");
    press("Enter");
    const typing = screen.getByLabelText("Miles of line 1, as it stands on the scan");
    fireEvent.change(typing, { target: { value: "102,304" } });
    fireEvent.keyDown(typing, { key: "Enter" });
    await waitFor(() => expect(screen.getByRole("status").textContent).toContain("Written: 102,304."));
    expect(sent).toEqual([
      { kind: "cell", target: "S1-52-1/miles", ruling: "102,304", reason: "Read again from the scan", by: "A. Reader" },
    ]);
  });
});
