/** From an empty archive to a card that was read, in a real browser over the real program. */
import assert from "node:assert/strict";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessible, browser, opened, ROOT, served, settled, shot } from "./support.mjs";

const SCAN = join(ROOT, "corpus_demo", "scans", "boiler-52.jpg");
let chrome;
let server;

before(async () => {
  server = await served(async () => {});
  chrome = await browser();
});

after(async () => {
  await chrome?.close();
  await server?.stop();
});

test("an empty archive says what to do first; a scan is taken in, read with progress, and shown under its columns", async () => {
  const { page, errors, close } = await opened(chrome, { who: "A. Reader" });
  page.setDefaultTimeout(90_000);
  await page.goto(server.address);
  await page.getByRole("heading", { name: "An empty archive" }).waitFor();
  await accessible(page, "an empty archive");
  await shot(page, "empty");

  await page.getByLabel("Scans (JPEG, PNG, TIFF, HEIC or PDF)").setInputFiles(SCAN);
  await page.getByLabel("A short name for it").fill("S1");
  await page.getByLabel("Its title").fill("Boiler record cards");
  await page.getByRole("button", { name: "Take in 1 scan file" }).click();
  await page.getByText("1 scan taken in").waitFor();
  await accessible(page, "an archive with one unread card");

  await page.getByRole("button", { name: "Read 1 card" }).click();
  await page.getByText("1 page read.").waitFor();
  await shot(page, "read");
  await page.getByRole("link", { name: "Boiler record cards", exact: true }).click();
  await page.getByRole("rowheader").getByRole("link").first().click();
  await page.getByRole("grid").waitFor();
  await settled(page);
  await accessible(page, "a card that was read");
  await shot(page, "card-read");
  assert.ok((await page.getByRole("row").count()) > 8);

  // The edges of the grid's columns lie over the ink of the scan's own columns.
  const [cell, mark] = await Promise.all([
    page.locator('[role="gridcell"][data-current]').boundingBox(),
    page.locator(".mark-cell").boundingBox(),
  ]);
  assert.ok(mark.x >= cell.x - 6 && mark.x + mark.width <= cell.x + cell.width + 6, `the mark at ${mark.x} stands over the cell at ${cell.x}`);
  assert.deepEqual(errors, []);
  await close();
});

test("a file that is no scan is refused with a sentence, and what was chosen stays", async () => {
  const { page, close } = await opened(chrome, { who: "A. Reader" });
  await page.goto(server.address);
  await page.getByLabel("Scans (JPEG, PNG, TIFF, HEIC or PDF)").setInputFiles({
    name: "card.jpg",
    mimeType: "image/jpeg",
    buffer: Buffer.from("this is no picture"),
  });
  await page.getByRole("button", { name: "Take in 1 scan file" }).click();
  await page.getByRole("alert").waitFor();
  await page.getByRole("button", { name: "Take in 1 scan file" }).waitFor();
  await accessible(page, "a refused scan");
  await shot(page, "refused");
  await close();
});
