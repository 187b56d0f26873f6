/** A real server on an archive of its own, a real headless browser, and axe. */
import assert from "node:assert/strict";
import { execFile, spawn } from "node:child_process";
import { mkdir, mkdtemp, readFile, rm } from "node:fs/promises";
import { createRequire } from "node:module";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { promisify } from "node:util";

export const ROOT = join(dirname(fileURLToPath(import.meta.url)), "..", "..");
const frontend = createRequire(join(ROOT, "frontend", "package.json"));
const { chromium } = frontend("playwright-core");
const AXE = await readFile(frontend.resolve("axe-core/axe.min.js"), "utf8");
const PROGRAM = join(ROOT, ".venv", "bin", "numbertaker");
export const OUT = process.env.NUMBERTAKER_SHOTS ?? join(ROOT, "out", "browser");
const TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"];

/** Sizes at which every desk is looked at: a laptop, and a telephone held upright. */
export const SIZES = { laptop: { width: 1280, height: 800 }, telephone: { width: 390, height: 844 } };

/** Run the program's own command line. */
export async function command(...words) {
  await promisify(execFile)(PROGRAM, words, { cwd: ROOT });
}

/** An archive in a folder of its own, made by `fill`, served until `stop` is called. */
export async function served(fill) {
  const folder = await mkdtemp(join(tmpdir(), "numbertaker-browser-"));
  const archive = join(folder, "archive");
  await fill(archive);
  const server = spawn(PROGRAM, ["serve", "--archive", archive, "--port", "0"], {
    cwd: ROOT,
    env: { ...process.env, PYTHONUNBUFFERED: "1" },
  });
  const address = await new Promise((found, lost) => {
    let said = "";
    const hear = (chunk) => {
      said += chunk;
      const at = /http:\/\/127\.0\.0\.1:[1-9]\d*/.exec(said);
      if (at) found(at[0]);
    };
    server.stdout.on("data", hear);
    server.stderr.on("data", hear);
    server.on("exit", () => lost(new Error(`The server ended before it served:\n${said}`)));
  });
  await answering(address);
  const stop = async () => {
    const ended = new Promise((over) => server.once("exit", over));
    server.kill("SIGTERM");
    await ended;
    await rm(folder, { recursive: true, force: true });
  };
  return { address, archive, stop };
}

async function answering(address) {
  for (let tries = 0; tries < 200; tries += 1) {
    const answer = await fetch(`${address}/api/overview`).catch(() => null);
    if (answer?.ok) return;
    await new Promise((later) => setTimeout(later, 50));
  }
  throw new Error(`No answer from ${address}/api/overview.`);
}

/** Debian's Chromium with a fresh profile. */
export function browser() {
  return chromium.launch({
    executablePath: process.env.NUMBERTAKER_CHROMIUM ?? "/usr/bin/chromium",
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
    ],
  });
}

/** A page that fails the test on any error that the browser tells of. */
export async function opened(chrome, { size = SIZES.laptop, light = "light", who = "" } = {}) {
  const context = await chrome.newContext({ viewport: size, colorScheme: light, reducedMotion: "reduce" });
  if (who !== "") await context.addInitScript((name) => localStorage.setItem("numbertaker.who", name), who);
  const page = await context.newPage();
  page.setDefaultTimeout(15_000);
  const errors = [];
  page.on("pageerror", (error) => errors.push(error.message));
  page.on("console", (message) => message.type() === "error" && errors.push(message.text()));
  return { page, errors, close: () => context.close() };
}

/** Nothing that axe finds in WCAG 2.2 A and AA, and nothing that overflows the window sideways. */
export async function accessible(page, where) {
  await page.evaluate(AXE);
  const { violations } = await page.evaluate(
    (tags) => globalThis.axe.run(document, { runOnly: { type: "tag", values: tags } }),
    TAGS,
  );
  const told = violations.map((rule) => `${rule.id}: ${rule.nodes.map((node) => node.html).slice(0, 3).join(" | ")}`);
  assert.deepEqual(told, [], `axe on ${where}`);
  const over = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
  assert.ok(over <= 0, `${where} is ${over} px wider than the window`);
}

/** Wait until everything that was asked for is shown. */
export async function settled(page) {
  await page.waitForLoadState("networkidle");
  await page.locator("h1").first().waitFor();
}

export async function shot(page, name, path = join(OUT, `${name}.png`)) {
  await mkdir(dirname(path), { recursive: true });
  await page.screenshot({ path });
}
