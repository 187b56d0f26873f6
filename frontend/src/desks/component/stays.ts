/** The fitments and findings of a component as the timeline wants them: counted days. */
import type { ComponentPage, FitmentView } from "../../api/views";
import { counted, dayInWords, dayNumber, figure } from "../../core/days";
import type { Span, Stay } from "../../core/timeline";

export function stayOf(fitment: FitmentView): Stay {
  return {
    engine: fitment.engine_id,
    label: fitment.engine_then,
    degree: fitment.degree,
    fitted: [dayNumber(fitment.fitted?.earliest), dayNumber(fitment.fitted?.latest)],
    removed: [dayNumber(fitment.removed?.earliest), dayNumber(fitment.removed?.latest)],
    value: fitment.miles?.value ?? null,
    low: fitment.miles?.low ?? null,
    high: fitment.miles?.high ?? null,
  };
}

/** The spans of the open findings of a kind. */
export function spansOf(page: ComponentPage, kind: string): Span[] {
  const spans: Span[] = [];
  for (const finding of page.findings) {
    if (finding.kind !== kind) continue;
    if (finding.state !== "open" && kind !== "gap") continue;
    const [from, to] = [dayNumber(finding.earliest), dayNumber(finding.latest)];
    if (from !== null && to !== null && to > from) spans.push({ from, to });
  }
  return spans;
}

/** The whole life in one or two sentences. */
export function lifeInWords(page: ComponentPage): string {
  const first = page.fitments.find((fitment) => fitment.fitted?.earliest)?.fitted?.earliest;
  const last = [...page.fitments].reverse().find((fitment) => fitment.removed?.latest)?.removed?.latest;
  const engines = new Set(page.fitments.map((fitment) => fitment.engine_id)).size;
  if (page.fitments.length === 0) return "No line that has been read speaks of it yet.";
  const when = first && last ? `, between ${dayInWords(first)} and ${dayInWords(last)}` : "";
  const miles =
    page.miles.supported > 0 ? ` Cited figures support ${figure(page.miles.supported)} miles.` : " No cited figure supports any miles.";
  const open = page.findings.filter((finding) => finding.state === "open").length;
  const left = open === 0 ? " Nothing is left open." : ` ${sentenceOfOpen(open)}`;
  return `${cap(counted(page.fitments.length, "fitment"))} on ${counted(engines, "engine")}${when}.${miles}${left}`;
}

const sentenceOfOpen = (open: number) => (open === 1 ? "One matter is left open." : `${figure(open)} matters are left open.`);
const cap = (words: string) => words.charAt(0).toUpperCase() + words.slice(1);
