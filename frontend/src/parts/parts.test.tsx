import { fireEvent, screen } from "@testing-library/react";
import { describe, expect, it, vi } from "vitest";
import { Failure } from "../api/failure";
import { dayNumber } from "../core/days";
import { boxOf } from "../core/geometry";
import type { Stay } from "../core/timeline";
import { WhoIsWorking } from "../shell/WhoIsWorking";
import { drawn, keepsTheContract } from "../testing/contract";
import { cellView, proposedCell, reliability, twoLines } from "../testing/fixtures";
import { DecisionList } from "./DecisionList";
import { RulesKey, Sure } from "./Degree";
import { LineSlip } from "./LineSlip";
import { ProposedList } from "./ProposedList";
import { Reliability } from "./Reliability";
import { Slip } from "./Slip";
import { TakeBack } from "./TakeBack";
import { Timeline } from "./Timeline";
import { Trouble } from "./Trouble";
import { Why } from "./Why";
import { Written, WrittenCell } from "./Written";

const [, second] = twoLines.lines;
const scan = { sha256: "a".repeat(64), page: 1 };
const stays: Stay[] = [
  {
    engine: "E09",
    label: "210 Penwarrow",
    degree: "near certain",
    fitted: [dayNumber("1913-08-10"), dayNumber("1913-08-16")],
    removed: [dayNumber("1916-09-10"), dayNumber("1916-09-16")],
    value: 102804,
    low: 102804,
    high: 102804,
  },
];
const decision = {
  decision_id: "D1",
  kind: "cell",
  target: "S1-52-1/miles",
  ruling: "102,804",
  reason: "Read again from the scan",
  by: "A. Reader",
  at: "2026-11-25T12:04:31Z",
  revokes: "",
  stands: true,
  says: "The miles on card 52, line 1 are read as 102,804.",
};

function wide(): void {
  vi.spyOn(HTMLElement.prototype, "clientWidth", "get").mockReturnValue(900);
}

describe("the accessibility contract", () => {
  keepsTheContract("text as written", () => <Written text="w/e 16.8.13" />);
  keepsTheContract("a claim over its rule", () => <Sure degree="doubtful">April 1911</Sure>);
  keepsTheContract("the key of the rules", () => <RulesKey />);
  keepsTheContract("a slip", () => <Slip scan={scan} box={boxOf([1, 2, 300, 40])} shows="The scan of card 52, line 1" />);
  keepsTheContract("a line as evidence", () => second && <LineSlip line={second} />);
  keepsTheContract("cells that are proposed anew", () => (
    <ProposedList cells={[proposedCell("S1-52-1", "12,350", "72,350"), proposedCell("S1-52-2", "1,100", "7,100", { before: "1,700", scan, box: [1, 2, 80, 30] })]} />
  ));
  keepsTheContract("how far confidence can be trusted", () => <Reliability told={reliability} />);
  keepsTheContract("a refusal", () => <Trouble thrown={new Failure("x", "Nothing was taken in.")} again={() => undefined} />);
  keepsTheContract("an explanation", () => (
    <Why sure={0.98} of="this fitment" reasons={[{ what: "witness", weight: 3.7, says: "one line says so" }]} />
  ));
  keepsTheContract("taking back", () => <TakeBack decision="D1" what="this correction" />);
  keepsTheContract("a list of decisions", () => <DecisionList decisions={[decision]} />);
  keepsTheContract("the first screen", () => <WhoIsWorking />);
  keepsTheContract("the timeline", () => {
    wide();
    return <Timeline stays={stays} gaps={[]} overlaps={[]} says="One stay." chosen={null} choose={() => undefined} />;
  });
});

describe("two voices", () => {
  it("what is written is set in the source's voice, exactly, and nothing else is", () => {
    const { container } = drawn(<WrittenCell cell={cellView("miles", "89,238", { struck: "88,238" })} />);
    const voices = [...container.querySelectorAll(".written")].map((element) => element.textContent);
    expect(voices).toEqual(["88,238", "89,238"]);
    expect(container.querySelector("del")?.textContent).toBe("88,238");
  });

  it("a struck figure is said to be struck out, not only drawn so", () => {
    drawn(<WrittenCell cell={cellView("miles", "89,238", { struck: "88,238" })} />);
    expect(screen.getByText("struck out:")).toBeDefined();
  });

  it("a degree is to be had as a word beside its rule", () => {
    const { container } = drawn(<Sure degree="probable">April 1911</Sure>);
    expect(container.querySelector("[data-degree='probable']")?.textContent).toBe("April 1911");
    expect(container.textContent).toContain("(probable)");
  });
});

describe("taking back", () => {
  it("asks for a reason first, with one ready, and lets it stand when one thinks better of it", () => {
    drawn(<TakeBack decision="D1" what="this correction" />);
    fireEvent.click(screen.getByRole("button", { name: "Take back this correction" }));
    expect(screen.getByLabelText<HTMLInputElement>("Why it is taken back").value).not.toBe("");
    fireEvent.click(screen.getByRole("button", { name: "Let it stand" }));
    expect(screen.queryByLabelText("Why it is taken back")).toBeNull();
  });
});

describe("a slip", () => {
  it("of a line without a scan says why there is none", () => {
    drawn(<Slip scan={null} box={null} shows="" />);
    expect(screen.getByText(/no scan of this line/)).toBeDefined();
  });

  it("that can't be fetched says so in words", () => {
    drawn(<Slip scan={scan} box={boxOf([1, 2, 300, 40])} shows="The scan of line 1" />);
    fireEvent.error(screen.getByRole("img"));
    expect(screen.getByText(/can’t be shown/)).toBeDefined();
  });
});

describe("the timeline", () => {
  it("tells in one sentence what it draws, and a thread can be chosen on it", () => {
    wide();
    const choose = vi.fn();
    const { container } = drawn(
      <Timeline stays={stays} gaps={[]} overlaps={[]} says="One stay on one engine." chosen={null} choose={choose} />,
    );
    expect(screen.getByRole("img", { name: "One stay on one engine." })).toBeDefined();
    fireEvent.click(container.querySelector(".thread") as Element);
    expect(choose).toHaveBeenCalledWith(0);
  });

  it("draws a gap off the lanes, hatched, with the words for it", () => {
    wide();
    const gap = { from: dayNumber("1916-09-16") ?? 0, to: dayNumber("1920-01-01") ?? 0 };
    drawn(<Timeline stays={stays} gaps={[gap]} overlaps={[]} says="A gap." chosen={null} choose={() => undefined} />);
    expect(screen.getByText("nothing known")).toBeDefined();
  });
});
