/** A history as one file, explored without a network: timeline, notes, slips, and nothing asked for elsewhere. */
import assert from "node:assert/strict";
import { mkdtemp, rm } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { pathToFileURL } from "node:url";
import { accessible, browser, command, ROOT, shot, SIZES } from "./support.mjs";

let chrome;
let folder;
let address;

before(async () => {
  folder = await mkdtemp(join(tmpdir(), "numbertaker-document-"));
  const archive = join(folder, "archive");
  const file = join(folder, "boiler-46.html");
  await command("import", join(ROOT, "corpus_demo", "package"), "--archive", archive);
  await command("take-in", join(ROOT, "corpus_demo", "scans"), "--archive", archive);
  await command("history", "46", "--format", "html", "--with-slips", "--plates", "-o", file, "--archive", archive);
  address = pathToFileURL(file).href;
  chrome = await browser();
});

after(async () => {
  await chrome?.close();
  await rm(folder, { recursive: true, force: true });
});

/** The page in a browser that has no network, with everything it asked for. */
async function offline(size) {
  const context = await chrome.newContext({ viewport: size, offline: true, reducedMotion: "reduce" });
  const page = await context.newPage();
  const asked = [];
  page.on("request", (request) => asked.push(request.url()));
  await page.goto(address);
  return { page, asked, close: () => context.close() };
}

test("the page asks for nothing but itself", async () => {
  const { page, asked, close } = await offline(SIZES.laptop);
  for (const summary of await page.locator("summary").all()) await summary.click();
  assert.deepEqual(asked.filter((url) => !url.startsWith("data:image/")), [address]);
  const broken = await page.evaluate(() => [...document.images].filter((image) => image.naturalWidth === 0).length);
  assert.equal(broken, 0);
  assert.ok((await page.locator("img.slip").count()) > 20);
  await accessible(page, "a history as one page");
  await close();
});

test("a stay leads to its sentence, and a mark to its note with the slips, by keyboard too", async () => {
  const { page, close } = await offline(SIZES.laptop);
  await page.locator("svg a").nth(4).focus();
  await page.keyboard.press("Enter");
  assert.match(page.url(), /#fitment-5$/);
  await page.locator('sup a[href="#note-6"]').first().click();
  const note = page.locator("li:target");
  assert.equal(await note.evaluate((item) => getComputedStyle(item).position), "fixed");
  await note.getByText("Show the slips").click();
  await note.getByRole("img").first().waitFor();
  await accessible(page, "a note that was called up");
  await shot(page, "document-note");
  await note.locator("a.back").click();
  assert.equal(await page.locator("li:target").count(), 0);
  await close();
});

test("what is near certain can be set back, on a telephone too", async () => {
  const { page, close } = await offline(SIZES.telephone);
  const box = page.getByLabel("Set back what is near certain");
  const ground = () => page.locator("p .d:not(.d-near-certain)").first().evaluate((run) => getComputedStyle(run).backgroundColor);
  const before = await ground();
  await box.check();
  assert.notEqual(await ground(), before);
  await accessible(page, "with what is near certain set back");
  const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
  assert.equal(wide, 0);
  await close();
});
