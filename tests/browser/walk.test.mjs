/** The walk of a researcher through the pages, in a real browser over the real program. */
import assert from "node:assert/strict";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { accessible, browser, command, opened, ROOT, served, settled, shot, SIZES } from "./support.mjs";

const WHO = "A. Reader";
let chrome;
let server;

before(async () => {
  server = await served(async (archive) => {
    await command("import", join(ROOT, "corpus_demo", "package"), "--archive", archive);
    await command("take-in", join(ROOT, "corpus_demo", "scans"), "--archive", archive);
  });
  chrome = await browser();
});

after(async () => {
  await chrome?.close();
  await server?.stop();
});

test("nobody gets to the desks without a name, and the name can be changed from any of them", async () => {
  const { page, errors, close } = await opened(chrome);
  await page.goto(server.address);
  await page.getByRole("heading", { name: "Who is working?" }).waitFor();
  await accessible(page, "Who is working?");
  await page.getByRole("button", { name: "Start work" }).click();
  await page.getByRole("alert").getByText("A name was expected").waitFor();
  await accessible(page, "Who is working?, with nothing typed");
  await shot(page, "who");
  await page.getByLabel("Your name").fill(WHO);
  await page.keyboard.press("Enter");
  await page.getByText(`${WHO} is working`).waitFor();
  await page.getByRole("button", { name: "Change" }).click();
  await page.getByLabel("Your name").fill("B. Clerk");
  await page.keyboard.press("Enter");
  await page.getByText("B. Clerk is working").waitFor();
  assert.deepEqual(errors, []);
  await close();
});

test("a footnote leads to the scan, a correction there changes the history, and taking it back restores it", async () => {
  const { page, errors, close } = await opened(chrome, { who: WHO });
  await page.goto(server.address);
  await page.getByRole("link", { name: "Boiler 52", exact: true }).click();
  const miles = page.getByText("788,517 miles");
  await miles.waitFor();
  await page.getByRole("link", { name: "Footnote 8" }).first().click();
  await page.getByRole("link", { name: /footnote 8, .*card 52, line 7/ }).click();
  const cell = page.getByRole("gridcell", { name: "40,257" });
  await cell.waitFor();
  assert.match(page.url(), /line=S1-52-7/);

  await page.getByRole("gridcell", { name: "203" }).and(page.locator("[tabindex='0']")).waitFor();
  await page.waitForFunction(() => document.activeElement?.getAttribute("role") === "gridcell");
  for (let right = 0; right < 3; right += 1) await page.keyboard.press("ArrowRight");
  await page.keyboard.press("Enter");
  await page.keyboard.type("40,267");
  assert.equal(await page.getByLabel("Reason").inputValue(), "Read again from the scan");
  await accessible(page, "a cell that is being typed");
  await shot(page, "card-typing");
  await page.keyboard.press("Enter");
  await page.getByText("Written: 40,267. The history follows it.").waitFor();
  await page.getByRole("gridcell", { name: "40,267" }).waitFor();

  await page.getByRole("link", { name: "Open the history that it tells of" }).click();
  await page.getByText("788,527 miles").waitFor();
  await page.getByRole("link", { name: "Decisions", exact: true }).click();
  await page.getByRole("button", { name: "Take back this decision" }).click();
  await page.keyboard.press("Enter");
  await page.getByText("It has been taken back").waitFor();
  await page.goBack();
  await miles.waitFor();
  assert.deepEqual(errors, []);
  await close();
});

test("Escape gives up what was typed in a cell, and the text is as it was", async () => {
  const { page, close } = await opened(chrome, { who: WHO });
  await page.goto(`${server.address}/cards/S1-52?line=S1-52-7&field=miles`);
  await page.waitForFunction(() => document.activeElement?.getAttribute("role") === "gridcell");
  await page.keyboard.press("Enter");
  await page.keyboard.type("1");
  await page.keyboard.press("Escape");
  await page.getByRole("gridcell", { name: "40,257" }).waitFor();
  await close();
});

test("nothing typed is lost when the program does not answer", async () => {
  const { page, close } = await opened(chrome, { who: WHO });
  // Before the page is opened: a request sent just after an interception begins may slip past it.
  await page.route("**/api/decisions", (route) => route.abort());
  await page.goto(`${server.address}/cards/S1-52?line=S1-52-7&field=miles`);
  await page.waitForFunction(() => document.activeElement?.getAttribute("role") === "gridcell");
  await page.keyboard.press("Enter");
  await page.keyboard.type("40,277");
  await page.keyboard.press("Enter");
  await page.getByRole("alert").getByText("The program does not answer").waitFor();
  assert.equal(await page.getByLabel("Miles of line 7, as it stands on the scan").inputValue(), "40,277");
  await accessible(page, "a cell that could not be saved");
  await close();
});

test("a finding is ruled on with a reason, settles, and opens again when the ruling is taken back", async () => {
  const { page, errors, close } = await opened(chrome, { who: WHO });
  await page.goto(`${server.address}/findings`);
  await page.getByLabel("of the kind").selectOption("mileage-conflict");
  await page.getByRole("navigation", { name: "Findings" }).getByRole("link").first().click();
  const take = page.getByRole("button", { name: /^Take 68,567/ });
  await take.click();
  await page.getByRole("alert").getByText("A reason was expected").waitFor();
  await accessible(page, "a finding without a reason");
  await page.getByLabel("Your reason").fill("The engine’s card was typed at the time; the 8 is plain on it.");
  await take.click();
  await page.getByText("Settled:").waitFor();
  await accessible(page, "a settled finding");
  await shot(page, "finding-settled");
  await page.getByRole("button", { name: "Take back this ruling" }).click();
  await page.getByLabel("Why it is taken back").fill("To look at the scan once more");
  await page.keyboard.press("Enter");
  await take.waitFor();
  assert.deepEqual(errors, []);
  await close();
});

test("the findings can be gone through by keyboard alone", async () => {
  const { page, close } = await opened(chrome, { who: WHO });
  await page.goto(`${server.address}/findings`);
  await settled(page);
  await page.keyboard.press("Alt+ArrowDown");
  const first = await page.getByRole("heading", { level: 2 }).innerText();
  await page.keyboard.press("Alt+ArrowDown");
  await page.waitForFunction((was) => document.querySelector("h2")?.innerText !== was, first);
  await page.keyboard.press("Alt+ArrowUp");
  await page.waitForFunction((was) => document.querySelector("h2")?.innerText === was, first);
  await close();
});

test("the skip link is the first stop of the keyboard and leads to the desk", async () => {
  const { page, close } = await opened(chrome, { who: WHO });
  await page.goto(server.address);
  await settled(page);
  await page.keyboard.press("Tab");
  assert.equal(await page.evaluate(() => document.activeElement?.textContent), "Go to the desk");
  await page.keyboard.press("Enter");
  assert.equal(await page.evaluate(() => document.activeElement?.id), "desk");
  await close();
});

test("a row of the tables is mended with a reason, and the page of its engine follows", async () => {
  const { page, errors, close } = await opened(chrome, { who: WHO });
  await page.goto(`${server.address}/tables/engines?key=E08`);
  await page.getByLabel("note").fill("Seen at Brackwith");
  await page.getByLabel("Reason").fill("Minute 209 says so");
  await page.getByRole("button", { name: "Write the changes to E08" }).click();
  await page.getByRole("cell", { name: "Seen at Brackwith" }).waitFor();
  await page.goto(`${server.address}/engines/E08`);
  await page.getByText("Seen at Brackwith").waitFor();
  assert.deepEqual(errors, []);
  await close();
});

const DESKS = {
  archive: "/",
  history: "/components/B52",
  "history-overlap": "/components/B58",
  card: "/cards/S1-52?line=S1-52-9",
  "engine-card": "/cards/S2-208",
  "hand-card": "/cards/S6-61?line=S6-61-4&field=removed",
  ledger: "/cards/S7-56?line=S7-56-5&field=removed",
  "typed-list": "/cards/S8-1?line=S8-1-6",
  finding: "/findings",
  sources: "/sources",
  source: "/sources/S1",
  engines: "/engines",
  engine: "/engines/E07",
  tables: "/tables/designations",
  "tables-row": "/tables/engines?key=E07",
  decisions: "/log",
  nowhere: "/nowhere",
};

for (const [sizeName, size] of Object.entries(SIZES))
  for (const light of ["light", "dark"])
    test(`every desk is accessible and fits on a ${sizeName}, in a ${light} room`, async () => {
      const { page, errors, close } = await opened(chrome, { size, light, who: WHO });
      for (const [name, path] of Object.entries(DESKS)) {
        await page.goto(server.address + path);
        await settled(page);
        if (name === "finding") await page.getByRole("navigation", { name: "Findings" }).getByRole("link").first().click();
        if (name === "history") await page.getByRole("button", { name: /^Why/ }).first().click();
        await settled(page);
        await accessible(page, `${name} (${sizeName}, ${light})`);
        await shot(page, `${name}-${sizeName}-${light}`);
      }
      assert.deepEqual(errors, []);
      await close();
    });

test("the history of the demo's boiler is drawn as the README shows it", async () => {
  const { page, close } = await opened(chrome, { who: WHO });
  await page.goto(`${server.address}/components/B52`);
  await settled(page);
  assert.match(await page.locator(".timeline svg").getAttribute("aria-label"), /The life of Boiler 52/);
  const kept = process.env.NUMBERTAKER_UPDATE_SCREENSHOT ? join(ROOT, "docs", "screenshot.png") : undefined;
  await shot(page, "screenshot", kept);
  await close();
});
