/** Days as the program gives them (`1911-04-01`), in words and on an axis. */

const MONTHS = [
  "January",
  "February",
  "March",
  "April",
  "May",
  "June",
  "July",
  "August",
  "September",
  "October",
  "November",
  "December",
];
const DAY_MS = 86_400_000;

/** The day as a count of days from 1970-01-01; null of what is no day. */
export function dayNumber(iso: string | null | undefined): number | null {
  const parts = /^(\d{4})-(\d{2})-(\d{2})$/.exec(iso ?? "");
  if (parts === null) return null;
  return Math.round(Date.UTC(Number(parts[1]), Number(parts[2]) - 1, Number(parts[3])) / DAY_MS);
}

/** The count of days for the first of January of a year. */
export function newYear(year: number): number {
  return Math.round(Date.UTC(year, 0, 1) / DAY_MS);
}

/** The year in which a day of the count falls. */
export function yearOf(day: number): number {
  return new Date(day * DAY_MS).getUTCFullYear();
}

/** `1911-04-01` as '1 April 1911'; anything else as it stands. */
export function dayInWords(iso: string): string {
  const [year, month, day] = iso.split("-");
  const name = MONTHS[Number(month) - 1];
  return name === undefined || day === undefined ? iso : `${Number(day)} ${name} ${year}`;
}

/** From one day to another in words, with whichever end is known. */
export function spanInWords(from: string | null, to: string | null): string {
  if (from !== null && to !== null) return from === to ? dayInWords(from) : `${dayInWords(from)} to ${dayInWords(to)}`;
  if (from !== null) return `from ${dayInWords(from)} on`;
  return to === null ? "at no known time" : `until ${dayInWords(to)}`;
}

/** A moment of the log (`2026-11-25T12:04:31Z`) as '25 November 2026, 12:04'. */
export function momentInWords(at: string): string {
  const time = /T(\d{2}:\d{2})/.exec(at)?.[1];
  return dayInWords(at.slice(0, 10)) + (time === undefined ? "" : `, ${time}`);
}

/** A count with the word for it: '1 fitment', '3 fitments', 'no fitments'. */
export function counted(count: number, one: string, many = `${one}s`): string {
  if (count === 0) return `no ${many}`;
  return `${figure(count)} ${count === 1 ? one : many}`;
}

/** A figure with its thousands set apart, as the registers set them. */
export function figure(value: number): string {
  return value.toLocaleString("en-GB");
}

/** The first letter made a capital, for the head of a sentence. */
export function sentence(words: string): string {
  return words.charAt(0).toUpperCase() + words.slice(1);
}
