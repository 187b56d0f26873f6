/** What went wrong, as the program says it: a code, a sentence, and where in which file. */

export interface Detail {
  readonly file?: string | null;
  readonly table?: string | null;
  readonly row?: number | string | null;
  readonly column?: string | null;
  readonly expected?: string | null;
  readonly found?: string | null;
}

/** A refusal of the program, or no answer at all. */
export class Failure extends Error {
  constructor(
    readonly code: string,
    message: string,
    readonly details: readonly Detail[] = [],
  ) {
    super(message);
    this.name = "Failure";
  }
}

/** The failure that a body of an answer tells of. */
export function failureIn(body: unknown, status: number): Failure {
  const told = typeof body === "object" && body !== null ? (body as Record<string, unknown>) : {};
  const message = typeof told.message === "string" ? told.message : `The program answered with ${status} and no reason.`;
  const code = typeof told.code === "string" ? told.code : `http-${status}`;
  return new Failure(code, message, Array.isArray(told.details) ? (told.details as Detail[]) : []);
}

/** Anything thrown, as a failure that can be shown. */
export function asFailure(thrown: unknown): Failure {
  if (thrown instanceof Failure) return thrown;
  if (thrown instanceof TypeError)
    return new Failure(
      "no-answer",
      "The program does not answer. Is it still running? Start it again with ./scripts/start, then try once more; what you typed is still here.",
    );
  return new Failure("unexpected", thrown instanceof Error ? thrown.message : String(thrown));
}

/** Where a detail points, as one line: 'lines.csv, row 12, column miles: expected …, found …'. */
export function detailInWords(detail: Detail): string {
  const where = [
    detail.file ?? detail.table,
    detail.row === undefined || detail.row === null ? null : `row ${detail.row}`,
    detail.column ? `column ${detail.column}` : null,
  ].filter(Boolean);
  const what = [
    detail.expected ? `expected ${detail.expected}` : null,
    detail.found ? `found ${detail.found}` : null,
  ].filter(Boolean);
  return [where.join(", "), what.join(", ")].filter(Boolean).join(": ");
}
