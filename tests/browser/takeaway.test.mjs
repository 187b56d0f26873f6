/** Taking histories away in the browser: of a component, an engine, a class and everything, by keyboard too. */
import assert from "node:assert/strict";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessible, browser, command, opened, ROOT, served, shot, SIZES } from "./support.mjs";

let chrome;
let server;

before(async () => {
  server = await served((archive) => command("import", join(ROOT, "corpus_demo", "package"), "--archive", archive));
  chrome = await browser();
});

after(async () => {
  await chrome?.close();
  await server?.stop();
});

/** What a button makes, saved by itself as soon as it is there. */
async function made(page, name) {
  const coming = page.waitForEvent("download");
  await page.getByRole("button", { name, exact: true }).click();
  const download = await coming;
  const stream = await download.createReadStream();
  const pieces = [];
  for await (const piece of stream) pieces.push(piece);
  return { name: download.suggestedFilename(), bytes: Buffer.concat(pieces) };
}

test("a history is taken away in the manner that was chosen, and compared with an earlier edition", async () => {
  const { page, errors, close } = await opened(chrome, { who: "A. Reader" });
  await page.goto(`${server.address}/components/B46`);
  await page.getByText("Take the history away").click();
  await page.getByLabel("Notes", { exact: true }).selectOption("journal");
  await page.getByLabel("Distances", { exact: true }).selectOption("both");
  await accessible(page, "taking a history away");
  const docx = await made(page, "Make it for a word processor (DOCX)");
  assert.equal(docx.name, "boiler-46.docx");
  assert.match(docx.bytes.subarray(0, 2).toString(), /^PK/);
  await page.getByText(/^Boiler 46 is made: /).waitFor();
  await shot(page, "take-away");
  await page.getByLabel("For", { exact: true }).selectOption("edition");
  const edition = await made(page, "Make it for an edition, to compare a later one with");
  assert.equal(JSON.parse(edition.bytes).format, "numbertaker-edition/1");
  const file = { name: "b.edition.json", mimeType: "application/json", buffer: edition.bytes };
  await page.getByLabel("An earlier edition of this").setInputFiles(file);
  assert.equal((await made(page, "Write what changed since then")).name, "boiler-46-changes.docx");
  await page.getByLabel("An earlier edition of this").setInputFiles({ ...file, buffer: Buffer.from("[]") });
  await page.getByRole("button", { name: "Write what changed since then" }).click();
  await page.getByText("an edition of the format").waitFor();
  assert.deepEqual(errors, []);
  await close();
});

for (const [sizeName, size] of Object.entries(SIZES))
  test(`a comparison and a house style are typed by keyboard alone, kept, and told, on a ${sizeName}`, async () => {
    const { page, errors, close } = await opened(chrome, { size, who: "A. Reader" });
    await page.goto(`${server.address}/components/B52`);
    for (const summary of ["Take the history away", "Comparisons", "House styles"]) {
      await page.locator("summary", { hasText: summary }).focus();
      await page.keyboard.press("Enter");
    }
    await page.getByLabel("The sentence").focus();
    await page.keyboard.press("Enter");
    await page.getByRole("alert").getByText("Write the sentence").waitFor();
    const says = `On a ${sizeName} it ran 90 times round the Earth.`;
    await page.keyboard.type(says);
    await page.getByLabel("How many times").focus();
    await page.keyboard.type("90");
    await page.keyboard.press("Enter");
    await page.locator("li.wants", { hasText: says }).getByText("The figures contradict it").waitFor();
    await page.getByRole("button", { name: /^Begin with the style/ }).focus();
    await page.keyboard.press("Enter");
    const text = page.getByLabel("The style", { exact: true });
    await text.waitFor();
    await page.getByLabel("Its name, such as our-journal").fill("ours");
    await text.fill((await text.inputValue()).replace("{reference}", "{shelf}"));
    await page.getByRole("button", { name: "Keep this style" }).click();
    await page.getByRole("alert").getByText("ours.toml").waitFor();
    await accessible(page, `a style that is refused (${sizeName})`);
    await shot(page, `take-away-style-${sizeName}`);
    await text.fill((await text.inputValue()).replace("{shelf}", "{reference}"));
    await page.getByRole("button", { name: "Keep this style" }).click();
    await page.getByText(/is kept, and chosen/).waitFor();
    assert.equal(await page.getByLabel("Notes", { exact: true }).inputValue(), "ours");
    await page.getByLabel("For", { exact: true }).selectOption("md");
    assert.match((await made(page, "Make it for Markdown")).bytes.toString(), /90 times round the Earth/);
    await page.getByRole("button", { name: `Drop it: ${says}` }).click();
    await page.locator("li.wants", { hasText: says }).waitFor({ state: "detached" });
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.equal(wide, 0);
    assert.deepEqual(errors.filter((error) => !error.includes("422")), []);
    await close();
  });

test("an engine, a class and the whole archive are taken away from their desks", async () => {
  const { page, errors, close } = await opened(chrome, { who: "A. Reader" });
  await page.goto(`${server.address}/engines/E08`);
  await page.getByText("Take the history of this engine away").click();
  assert.match((await made(page, "Make it for a word processor (DOCX)")).name, /^engine-.*\.docx$/);
  await page.goto(`${server.address}/engines`);
  await page.getByLabel("The engines of class").selectOption("K");
  await page.getByText("Take class K, as a book, away").click();
  await page.getByLabel("For", { exact: true }).selectOption("tex");
  assert.equal((await made(page, "Make it for LaTeX, with its pictures (zip)")).name, "engines-of-class-k.zip");
  await page.goto(`${server.address}/`);
  await page.getByText("Take every history, as a book or a site, away").click();
  await page.getByLabel("For", { exact: true }).selectOption("site");
  await accessible(page, "taking everything away");
  assert.equal((await made(page, "Make it for a site (zip)")).name, "histories-of-components.zip");
  assert.deepEqual(errors, []);
  await close();
});

test("an export that takes a while says how far it is and can be called off", async () => {
  const { page, errors, close } = await opened(chrome, { who: "A. Reader" });
  await page.goto(`${server.address}/`);
  await page.getByText("Take every history, as a book or a site, away").click();
  await page.getByLabel("For", { exact: true }).selectOption("pdf");
  await page.getByRole("button", { name: "Make it for print (PDF)" }).click();
  await page.getByText(/^(Writing the text|Drawing the pictures|Setting the pages)/).waitFor();
  await accessible(page, "an export going on");
  await shot(page, "take-away-going-on");
  await page.getByRole("button", { name: "Call it off" }).click();
  await page.getByText("was called off. Nothing is left of it.").waitFor();
  assert.deepEqual(errors, []);
  await close();
});
