/** Forms of cards: what is known is told in words, sharing is a link, forgetting asks first. */
import { QueryClient, QueryClientProvider } from "@tanstack/react-query";
import { fireEvent, screen } from "@testing-library/react";
import { describe, expect, it } from "vitest";
import { formsAsked } from "../../api/forms";
import type { CardSummary, FormView } from "../../api/views";
import { drawn, keepsTheContract } from "../../testing/contract";
import { formIn, Forms } from "./Forms";
import { ItsForm } from "./ItsForm";

const SHED: FormView = {
  name: "shed-card",
  side: "component",
  columns: [
    { title: "Engine", field: "engine" },
    { title: "Smithy", field: "place" },
    { title: "Class", field: "" },
  ],
  ruled: true,
  sources: ["S1"],
};

function Knowing({ forms, children }: { forms: FormView[]; children: React.ReactNode }) {
  const queries = new QueryClient({ defaultOptions: { queries: { staleTime: Infinity } } });
  queries.setQueryData(formsAsked().queryKey, forms);
  return <QueryClientProvider client={queries}>{children}</QueryClientProvider>;
}

const withForms = (forms: FormView[], what: React.ReactNode) => drawn(<Knowing forms={forms}>{what}</Knowing>);
const CARD = { card_id: "S1-52", label: "Card 52", scans: 1 } as CardSummary;

describe("the forms of cards", () => {
  keepsTheContract("the list of forms", () => (
    <Knowing forms={[SHED]}>
      <Forms sources={[]} />
    </Knowing>
  ));
  keepsTheContract("the form of a source's cards", () => (
    <Knowing forms={[SHED]}>
      <ItsForm source="S1" cards={[CARD]} />
    </Knowing>
  ));

  it("tells each form's columns in words, and gives it as a file", () => {
    withForms([SHED], <Forms sources={[]} />);
    expect(screen.getByText(/‘Engine’, ‘Smithy’ \(place\), ‘Class’/)).toBeTruthy();
    expect(screen.getByRole("link", { name: "Save shed-card to a file" }).getAttribute("href")).toBe("/api/forms/shed-card.json");
  });

  it("asks before it forgets one, and can be stayed", () => {
    withForms([SHED], <Forms sources={[]} />);
    fireEvent.click(screen.getByRole("button", { name: "Forget shed-card" }));
    expect(screen.getByRole("button", { name: /cards stay as they were read/ })).toBeTruthy();
    expect(document.activeElement?.textContent).toBe("Keep it");
    fireEvent.click(screen.getByRole("button", { name: "Keep it" }));
    expect(document.activeElement?.textContent).toBe("Forget shed-card");
  });

  it("shows on a source's page the form that is chosen for it, and nothing where no card has a scan", () => {
    const { unmount } = withForms([SHED], <ItsForm source="S1" cards={[CARD]} />);
    expect(screen.getByLabelText<HTMLSelectElement>("Its cards have the form").value).toBe("shed-card");
    expect(screen.getByRole("button", { name: "Read its card again" })).toBeTruthy();
    unmount();
    withForms([SHED], <ItsForm source="S1" cards={[]} />);
    expect(screen.queryByText("The form of its cards")).toBeNull();
  });

  it("takes no file for a form that does not look like one", () => {
    expect(formIn("[1]")).toBeNull();
    expect(formIn("{")).toBeNull();
    expect(formIn('{"format": "numbertaker-form/1", "name": "a", "columns": []}')?.name).toBe("a");
  });
});
