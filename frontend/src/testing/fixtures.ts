/** Made-up views for the tests of parts: one line of one card. */
import type { CardPage, CellView, Decided, LineView, ProposedCell, ReliabilityView } from "../api/views";

export function cellView(field: string, text: string, more: Partial<CellView> = {}): CellView {
  return {
    field,
    text,
    read_as: null,
    confidence: 0.97,
    typed: false,
    box: null,
    alternatives: [],
    proposed: null,
    mark: "",
    struck: "",
    meaning: null,
    meaning_text: "",
    sure: 0.99,
    degree: "near certain",
    used: true,
    instead: null,
    candidates: [],
    reasons: [],
    findings: [],
    decision: null,
    ...more,
  };
}

export function lineView(row: number, cells: Record<string, CellView>): LineView {
  return {
    line_id: `S1-52-${row}`,
    card_id: "S1-52",
    source_id: "S1",
    row: row.toString(),
    locator: `card 52, line ${row}`,
    citation: `‘Boiler record cards’, card 52, line ${row}`,
    side: "component",
    says: "fitment",
    heading: "52",
    marks: "",
    cells,
    scan: null,
    box: null,
    component_id: "B52",
  };
}

export function cardPage(lines: LineView[]): CardPage {
  return {
    card: {
      card_id: "S1-52",
      source_id: "S1",
      label: "card 52",
      form: "component-card",
      locator: "card 52",
      state: "seen",
      scans: 0,
      lines: lines.length,
      read: true,
      checked: false,
      findings_open: 0,
    },
    source: { source_id: "S1", kind: "component-card", title: "Boiler record cards", cards: 1, lines: lines.length, unread: 0 },
    citation: "‘Boiler record cards’, card 52",
    scans: [],
    form: "component-card",
    turned: 0,
    outline: [],
    heading: {},
    columns: ["engine", "miles"],
    lines,
    problems: [],
    checked: null,
    previous: null,
    next: null,
  };
}

export const twoLines = cardPage([
  lineView(1, {
    engine: cellView("engine", "210", { meaning: "E09", meaning_text: "210 Penwarrow" }),
    miles: cellView("miles", "102,804", { meaning: 102804, meaning_text: "102,804 miles" }),
  }),
  lineView(2, {
    engine: cellView("engine", '"', { mark: "ditto", meaning: "E09", meaning_text: "210 Penwarrow", degree: "doubtful" }),
    miles: cellView("miles", "89,238", { struck: "88,238", degree: "contradicted", meaning_text: "89,238 miles" }),
  }),
]);

export function proposedCell(line_id: string, text: string, proposed: string, more: Partial<ProposedCell> = {}): ProposedCell {
  return {
    line_id,
    field: "miles",
    card_id: "S1-52",
    where: "card 52, line 1",
    text,
    before: "",
    proposed,
    confidence: 0.91,
    why: "‘7’ was read as ‘1’ in 3 of 12 cells looked over in this source",
    scan: null,
    box: null,
    ...more,
  };
}

export const reliability: ReliabilityView = {
  cells: 150,
  right: 146,
  error: 0.012,
  groups: [
    { low: 0.85, high: 0.93, cells: 40, right: 38, mean: 0.9, share: 0.95, at_least: 0.835, at_most: 0.986 },
    { low: 0.98, high: 0.99, cells: 110, right: 108, mean: 0.986, share: 0.982, at_least: 0.936, at_most: 0.995 },
  ],
};

/** What a decision did that changed nothing else. */
export const nothingChanged: Decided["changed"] = { components: [], findings_closed: [], findings_opened: [], proposed: [] };
