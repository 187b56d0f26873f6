/** The part that takes everything away: what stands in the way is named, and each way out is a link. */
import { screen } from "@testing-library/react";
import { describe, expect, it } from "vitest";
import type { KeepView } from "../../api/keep";
import { drawn, keepsTheContract } from "../../testing/contract";
import { Kept } from "./ForKeeping";

const WHOLE: KeepView = { lost: [], no_rights: [], not_taken_in: [], scans: 47, octets: 21_900_000, pages_read: 52 };
const SILENT: KeepView = { ...WHOLE, no_rights: [{ source_id: "S1", title: "Boiler cards" }], not_taken_in: ["card S1-8: lost.png"] };
const LOST: KeepView = { ...WHOLE, lost: ["card.png: expected the 90 bytes that were taken in, found 'no file'."] };

describe("taking everything away", () => {
  keepsTheContract("a whole archive", () => <Kept keep={WHOLE} />);
  keepsTheContract("an archive with sources that state no rights", () => <Kept keep={SILENT} />);

  it("gives the bag and says how large it is", () => {
    drawn(<Kept keep={WHOLE} />);
    expect(screen.getByRole("link", { name: "Take a bag away" }).getAttribute("href")).toBe("/api/keep/bag.zip");
    expect(screen.getByText(/47 scans, 22 MB/)).toBeTruthy();
  });

  it("leads to the source that states no rights, and leaves the choice to the person", () => {
    drawn(<Kept keep={SILENT} />);
    expect(screen.getByRole("link", { name: "Say the rights of ‘Boiler cards’" }).getAttribute("href")).toBe("/tables/sources?key=S1");
    expect(screen.getByRole("link", { name: "Take a bag away all the same" }).getAttribute("href")).toBe(
      "/api/keep/bag.zip?rights_not_stated=true",
    );
    expect(screen.getByText(/1 card names scans that were never taken in/)).toBeTruthy();
  });

  it("names a scan that is gone and offers no bag without it", () => {
    drawn(<Kept keep={LOST} />);
    expect(screen.getByText(/card.png: expected the 90 bytes/)).toBeTruthy();
    expect(screen.queryByRole("link", { name: /bag away/ })).toBeNull();
  });
});
