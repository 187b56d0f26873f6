/** Where the hand is in a grid of lines and columns, and where a key takes it. */

export interface Cursor {
  readonly row: number;
  readonly column: number;
}

/** The cursor after a key; null for a key that does not move it. */
export function afterKey(
  { row, column }: Cursor,
  key: string,
  rows: number,
  columns: number,
  ctrl = false,
): Cursor | null {
  const within = (r: number, c: number): Cursor => ({
    row: Math.min(Math.max(r, 0), rows - 1),
    column: Math.min(Math.max(c, 0), columns - 1),
  });
  switch (key) {
    case "ArrowUp":
      return within(row - 1, column);
    case "ArrowDown":
      return within(row + 1, column);
    case "ArrowLeft":
      return within(row, column - 1);
    case "ArrowRight":
      return within(row, column + 1);
    case "Home":
      return within(ctrl ? 0 : row, 0);
    case "End":
      return within(ctrl ? rows - 1 : row, columns - 1);
    case "PageUp":
      return within(row - 8, column);
    case "PageDown":
      return within(row + 8, column);
    default:
      return null;
  }
}
