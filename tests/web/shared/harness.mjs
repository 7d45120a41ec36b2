// What the browser tests share: a browser, a static server, and TypeScript bundled for a page of the test's own.
import { createServer } from "node:http";
import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, extname, join, normalize } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";
import { chromium } from "playwright-core";

export const root = join(dirname(fileURLToPath(import.meta.url)), "../../..");
export const engineModule = process.env.FRETLOOM_ENGINE_WASM || join(root, "build/wasm/engine.wasm");
export const demo = (name) => readFileSync(join(root, "demos", `${name}.toml`), "utf8");

const executable = process.env.FRETLOOM_CHROMIUM || "/usr/bin/chromium";
export const canBrowse = existsSync(executable) && existsSync(engineModule);

/** A browser with a profile of its own; sound may begin without a press unless `press` says that it must not. */
export async function openBrowser({ press = false, ...options } = {}) {
  const profile = mkdtempSync(join(tmpdir(), "fretloom-browser-"));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: executable,
    headless: true,
    args: [
      "--no-sandbox",
      "--disable-gpu",
      "--disable-quic",
      "--no-first-run",
      "--disable-background-networking",
      "--disable-component-update",
      "--disable-sync",
      ...(press ? [] : ["--autoplay-policy=no-user-gesture-required"]),
    ],
    ...options,
  });
  context.on("close", () => rmSync(profile, { recursive: true, force: true }));
  return context;
}

export async function bundle(entry, options = {}) {
  const { outputFiles } = await build({
    absWorkingDir: root,
    entryPoints: [entry],
    bundle: true,
    write: false,
    format: "iife",
    target: "es2022",
    logLevel: "warning",
    ...options,
  });
  return outputFiles[0].text;
}

const types = { ".html": "text/html; charset=utf-8", ".js": "text/javascript", ".css": "text/css", ".wasm": "application/wasm", ".json": "application/json", ".svg": "image/svg+xml", ".webmanifest": "application/manifest+json" };

/** Serves files, given as {path: text or bytes}, or a folder; `asked` has every path that was asked for. */
export async function serve(files) {
  const asked = [];
  const server = createServer((request, response) => {
    const path = decodeURIComponent(new URL(request.url, "http://x").pathname);
    asked.push(path);
    const name = path.endsWith("/") ? `${path}index.html` : path;
    const content = typeof files === "string" ? read(join(files, normalize(name))) : files[name];
    if (content === undefined) return response.writeHead(404).end();
    response.writeHead(200, { "content-type": types[extname(name)] ?? "application/octet-stream" }).end(content);
  });
  await new Promise((resolve) => server.listen(0, "127.0.0.1", resolve));
  const close = () => new Promise((resolve) => (server.closeAllConnections(), server.close(resolve)));
  return { address: `http://127.0.0.1:${server.address().port}`, asked, close };
}

function read(path) {
  return existsSync(path) ? readFileSync(path) : undefined;
}
