/** Corrections that improve other cells, and cards that are checked, in a real browser over the real program. */
import assert from "node:assert/strict";
import { execFile } from "node:child_process";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { promisify } from "node:util";
import { accessible, browser, opened, ROOT, served, settled, shot, SIZES } from "./support.mjs";

const WHO = "A. Reader";
let chrome;
let server;

before(async () => {
  const python = join(ROOT, ".venv", "bin", "python");
  server = await served((archive) => promisify(execFile)(python, [join(ROOT, "tests", "browser", "hand_archive.py"), archive]));
  chrome = await browser();
});

after(async () => {
  await chrome?.close();
  await server?.stop();
});

async function corrected(page, from, to) {
  const cell = page.getByRole("gridcell", { name: from, exact: false });
  await cell.click();
  await page.keyboard.press("Enter");
  await page.keyboard.type(to);
  await page.keyboard.press("Enter");
  await page.getByText(`Written: ${to}`).waitFor();
}

test("two corrections propose other cells anew; one is taken by keyboard, the other is left as it is", async () => {
  const { page, errors, close } = await opened(chrome, { who: WHO });
  await page.goto(`${server.address}/sources/S1`);
  await page.getByText("No cells of this source are checked yet").waitFor();
  await page.getByText("nothing is known of its hand").waitFor();
  await accessible(page, "a source of which nothing is checked");
  await shot(page, "source-unchecked");
  await page.getByRole("rowheader").getByRole("link").first().click();
  await page.getByRole("grid").waitFor();
  await corrected(page, "12,104", "72,104");
  await corrected(page, "1,188", "7,188");
  await page.getByText("After your correction 2 other cells are proposed anew").waitFor();
  await settled(page);
  await accessible(page, "cells that are proposed anew");
  for (const [name, size] of Object.entries(SIZES).reverse()) {
    await page.setViewportSize(size);
    await page.getByRole("button", { name: "Leave them for now" }).scrollIntoViewIfNeeded();
    await accessible(page, `cells that are proposed anew (${name})`);
    await shot(page, `card-proposed-anew-${name}`);
  }

  const take = page.getByRole("button", { name: "Take ‘72,350’" });
  await take.focus();
  await page.keyboard.press("Enter");
  await page.getByText("Taken: ‘72,350’.").waitFor();
  await page.getByRole("button", { name: "Leave them for now" }).focus();
  await page.keyboard.press("Enter");
  await page.getByText("are proposed anew").waitFor({ state: "detached" });

  await page.getByRole("link", { name: "Next card" }).click();
  await page.getByRole("gridcell", { name: "72,350" }).waitFor();
  await page.getByRole("gridcell", { name: "11,250" }).waitFor();
  assert.deepEqual(errors, []);
  await close();
});

test("a card is said to be checked by keyboard, its source tells how far confidence can be trusted, and the check is taken back", async () => {
  const { page, errors, close } = await opened(chrome, { who: WHO });
  await page.goto(`${server.address}/sources/S1`);
  await page.getByRole("rowheader").getByRole("link").first().click();
  await page.getByRole("button", { name: "Say that the card is checked" }).focus();
  await page.keyboard.press("Enter");
  assert.equal(await page.getByLabel("How it was checked").inputValue(), "Every cell was held to the scan");
  await accessible(page, "a card that is about to be checked");
  await page.keyboard.press("Enter");
  await page.getByText("Checked: what is not corrected stands as read.").waitFor();
  await shot(page, "card-checked");
  await page.getByRole("link", { name: "Boiler record cards", exact: true }).click();
  await page.getByText(/cells on one checked card/).waitFor();
  await page.getByRole("img", { name: /^Reliability of/ }).waitFor();
  for (const [name, size] of Object.entries(SIZES)) {
    await page.setViewportSize(size);
    await settled(page);
    await accessible(page, `a source with a checked card (${name})`);
    await page.getByRole("heading", { name: "How it is read" }).scrollIntoViewIfNeeded();
    await shot(page, `source-checked-${name}`);
  }
  await page.setViewportSize(SIZES.laptop);
  await page.goBack();
  await page.getByRole("button", { name: "Take back the check" }).click();
  await page.keyboard.press("Enter");
  await page.getByRole("button", { name: "Say that the card is checked" }).waitFor();
  assert.deepEqual(errors, []);
  await close();
});
