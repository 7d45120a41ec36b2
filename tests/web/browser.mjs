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

const windowOf = ({ width = 1440, height = 1000, dark = false, touch = false, still = false, scale = 1 } = {}) => ({
  viewport: { width, height }, deviceScaleFactor: scale, colorScheme: dark ? "dark" : "light", hasTouch: touch,
  reducedMotion: still ? "reduce" : "no-preference", acceptDownloads: true,
});

/** A window of its own, with nothing of others in its storage. `faults` and `requests` grow as the page goes on. */
export async function open(browser, address, options) {
  return watched(await browser.newContext(windowOf(options)), address);
}

/** A window of a browser of its own, which keeps its storage in a folder. */
export async function openKept(profile, address, options) {
  return watched(await chromium.launchPersistentContext(profile, { executablePath: "/usr/bin/chromium", args: FLAGS, ...windowOf(options) }), address);
}

async function watched(context, address) {
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

/**
 * Every text on the page whose contrast with its ground is below WCAG 2.2, success criterion 1.4.3: 4.5 to 1, or 3 to 1
 * from 24 px, or from 18.66 px where it is bold. Ratio and relative luminance as that document defines them; what is
 * see-through is mixed with what lies under it. Texts of drawings are held by tests of the tones. Returns also how many
 * texts were measured.
 */
export function contrasts(page) {
  return page.evaluate(() => {
    const channels = (colour) => {
      const found = /^rgba?\(([^)]+)\)$/.exec(colour)?.[1].split(/[ ,/]+/).map(Number);
      if (found === undefined) throw new Error(`the colour ${colour} cannot be read`);
      return { rgb: found.slice(0, 3), alpha: found[3] ?? 1 };
    };
    const mixed = (top, alpha, below) => top.map((value, i) => value * alpha + below[i] * (1 - alpha));
    const luminance = (rgb) => {
      const [r, g, b] = rgb.map((value) => value / 255).map((value) => (value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4));
      return 0.2126 * r + 0.7152 * g + 0.0722 * b;
    };
    const ratio = (a, b) => {
      const [light, dark] = [luminance(a), luminance(b)].sort((x, y) => y - x);
      return (light + 0.05) / (dark + 0.05);
    };
    const upward = (element) => (element === null ? [] : [element, ...upward(element.parentElement)]);
    const ground = (chain) =>
      chain.toReversed().reduce((below, each) => {
        const { rgb, alpha } = channels(getComputedStyle(each).backgroundColor);
        return mixed(rgb, alpha, below);
      }, [255, 255, 255]);
    const isShown = (element) => {
      const { width, height } = element.getBoundingClientRect();
      return width > 1 && height > 1 && element.checkVisibility({ visibilityProperty: true });
    };
    const texts = [];
    const walker = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
    while (walker.nextNode()) {
      const element = walker.currentNode.parentElement;
      if (walker.currentNode.data.trim() !== "" && element.closest("svg, script, style, option") === null) texts.push([element, walker.currentNode.data.trim(), null]);
    }
    for (const field of document.querySelectorAll("input:not([type=range]), textarea")) {
      const text = field.value || field.placeholder;
      if (text !== "") texts.push([field, text, field.value === "" ? "::placeholder" : null]);
    }
    let measured = 0;
    const low = [];
    for (const [element, text, part] of texts) {
      if (!isShown(element)) continue;
      ++measured;
      const style = getComputedStyle(element, part);
      const chain = upward(element);
      const below = ground(chain);
      const faded = chain.reduce((all, each) => all * Number(getComputedStyle(each).opacity), part === null ? 1 : Number(style.opacity));
      const { rgb, alpha } = channels(style.color);
      const size = Number.parseFloat(style.fontSize);
      const least = size >= 24 || (size >= 18.66 && Number(style.fontWeight) >= 700) ? 3 : 4.5;
      const found = ratio(mixed(rgb, alpha * faded, below), below);
      if (found < least) low.push(`${found.toFixed(2)} to 1: ${text.slice(0, 40)} (${element.className || element.tagName})`);
    }
    return { measured, low };
  });
}
