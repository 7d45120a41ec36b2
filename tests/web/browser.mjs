// Chromium for the pages' tests, with a log of every request, and the servers that a page stands behind.
import { execFileSync, spawn } from "node:child_process";
import { createServer } from "node:http";
import { existsSync, readFileSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, extname, join, normalize } from "node:path";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

export const root = join(dirname(fileURLToPath(import.meta.url)), "../..");
/** The program that is tested: the preset's that ran the tests, else the release build's. */
export const fretloom = process.env["FRETLOOM_PROGRAM"] ?? join(root, "build/release/src/cli/fretloom");

const FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
  "--disable-component-update", "--disable-sync", "--autoplay-policy=no-user-gesture-required"];

export function launch() {
  return chromium.launch({ executablePath: "/usr/bin/chromium", args: FLAGS });
}

/** A window of its own, with nothing of others in its storage. `faults` and `requests` grow as the page goes on. */
export async function open(browser, address, { width = 1440, height = 1000, dark = false, touch = false, still = false } = {}) {
  const context = await browser.newContext({
    viewport: { width, height }, colorScheme: dark ? "dark" : "light", hasTouch: touch, reducedMotion: still ? "reduce" : "no-preference",
    acceptDownloads: true,
  });
  const faults = [];
  const requests = [];
  context.on("request", (request) => requests.push(request.url()));
  const page = await context.newPage();
  page.on("pageerror", (error) => faults.push(`${error.message}\n${error.stack}`));
  page.on("console", (message) => {
    if (message.type() === "error") faults.push(message.text());
  });
  await page.goto(address);
  return { context, page, faults, requests };
}

const TYPES = { ".html": "text/html", ".js": "text/javascript", ".css": "text/css", ".json": "application/json",
  ".webmanifest": "application/manifest+json", ".svg": "image/svg+xml", ".wasm": "application/wasm" };

/** Serves a folder's files, as any host of static files does. */
export async function serveFolder(folder) {
  const server = createServer((request, response) => {
    const path = decodeURIComponent(new URL(request.url, "http://host").pathname);
    const file = join(folder, normalize(path === "/" ? "/index.html" : path));
    if (!file.startsWith(folder) || !existsSync(file)) return response.writeHead(404).end();
    response.writeHead(200, { "content-type": TYPES[extname(file)] ?? "application/octet-stream" }).end(readFileSync(file));
  });
  await new Promise((done) => server.listen(0, "127.0.0.1", done));
  return { address: `http://127.0.0.1:${server.address().port}/`, close: () => new Promise((done) => (server.closeAllConnections(), server.close(done))) };
}

/** Writes the page that needs no server into a folder. */
export function exportStudio(folder) {
  execFileSync(fretloom, ["studio", "--export", folder]);
}

/** `fretloom studio` on a folder of lessons; port 0 is a free one. */
export async function startStudio(folder, port = 0) {
  const child = spawn(fretloom, ["studio", folder, "--port", String(port)], { stdio: ["ignore", "pipe", "inherit"] });
  const address = await new Promise((found, failed) => {
    let said = "";
    child.stdout.on("data", (bytes) => {
      said += bytes;
      const [at] = /http:\/\/127\.0\.0\.1:\d+\/?/.exec(said) ?? [];
      if (at !== undefined) found(at.endsWith("/") ? at : `${at}/`);
    });
    child.once("error", failed);
    child.once("exit", (code) => failed(new Error(`fretloom studio ended with ${code}: ${said}`)));
  });
  const ended = new Promise((done) => child.once("exit", done));
  return { address, child, close: () => (child.kill("SIGINT"), ended) };
}

export function folder(name) {
  const path = mkdtempSync(join(tmpdir(), `fretloom-${name}-`));
  return { path, remove: () => rmSync(path, { recursive: true, force: true }) };
}

/** What an axe-core run has against the page as it stands, one line each. */
export async function axe(page) {
  await page.evaluate(readFileSync(join(root, "node_modules/axe-core/axe.min.js"), "utf8"));
  const { violations } = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ["violations"] }));
  return violations.flatMap(({ id, help, nodes }) => nodes.map(({ target, failureSummary }) => `${id}: ${help} at ${target}: ${failureSummary}`));
}
