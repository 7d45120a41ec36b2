// Builds the pages: node scripts/build_web.mjs [FOLDER], the folder of engine.wasm and engine_first.wasm
//   build/web/studio   what the studio's server gives out: index.html, scripts, style sheet, fonts, engine
//   build/web/static   the studio without a server: one HTML file, and what lies beside it where it is hosted
//   build/web/embed    the same files as they go into the program, packed by gzip where that pays
// The same sources give the same bytes. A file that would not change is not written.
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { build } from "esbuild";

const root = join(dirname(fileURLToPath(import.meta.url)), "..");
const out = join(root, "build/web");
const modules = process.argv[2] ?? join(root, "build/wasm");
const engine = readFileSync(join(modules, "engine.wasm"));
const engineFirst = readFileSync(join(modules, "engine_first.wasm"));
const read = (path) => readFileSync(join(root, path), "utf8");

const FONTS = ["latin-400-normal", "latin-400-italic", "latin-700-normal", "latin-ext-400-normal", "latin-ext-700-normal"].map(
  (cut) => `gentium-plus-${cut}.woff2`,
);
const fontBytes = (font) => readFileSync(join(root, "node_modules/@fontsource/gentium-plus/files", font));

function write(path, content) {
  const file = join(out, path);
  const bytes = Buffer.from(content);
  if (existsSync(file) && readFileSync(file).equals(bytes)) return;
  mkdirSync(dirname(file), { recursive: true });
  // Two builds may be at it: each puts a whole file into its place.
  const aside = `${file}.${process.pid}`;
  writeFileSync(aside, bytes);
  renameSync(aside, file);
}

/** RFC 1952, without a time and with no system named. */
function packed(content) {
  const bytes = gzipSync(content, { level: 9 });
  bytes[9] = 255;
  return bytes;
}

/** A file of a page, as it is and as it goes into the program. */
function put(page, name, content) {
  write(`${page}/${name}`, content);
  if (name.endsWith(".woff2")) write(`embed/${page}/${name}`, content);
  else write(`embed/${page}/${name}.gz`, packed(content));
}

/** Bundles entry points; gives their texts by name ("studio.js", "studio.css"). */
async function bundle(entryPoints, define) {
  const result = await build({
    absWorkingDir: root,
    entryPoints,
    outdir: out,
    bundle: true,
    write: false,
    minify: true,
    format: "iife",
    target: "es2022",
    jsx: "automatic",
    jsxImportSource: "preact",
    external: ["/fonts/*"],
    loader: { ".toml": "text" },
    define,
    legalComments: "none",
    logLevel: "warning",
  });
  return Object.fromEntries(result.outputFiles.map((file) => [file.path.slice(out.length + 1), file.text]));
}

function replaced(text, part, by) {
  if (!text.includes(part)) throw new Error(`web/studio/index.html has no ${part}`);
  return text.replace(part, () => by);
}

const sha256 = (text) => `'sha256-${createHash("sha256").update(text).digest("base64")}'`;
const base64 = (content) => Buffer.from(content).toString("base64");

/** The page with everything in it. Its policy allows what it holds, by hash, and no request at all. */
function inOneFile(html, script, style, worker, icon) {
  for (const font of FONTS)
    style = style.replaceAll(`/fonts/${font}`, `data:font/woff2;base64,${base64(fontBytes(font))}`);
  // What ends an element must not stand in it.
  for (const [text, end] of [[script, "</script"], [worker, "</script"], [style, "</style"]])
    if (text.toLowerCase().includes(end)) throw new Error(`a part of the page has ${end} in it`);
  const policy = [
    "default-src 'none'", `script-src ${sha256(script)} 'wasm-unsafe-eval'`, `style-src ${sha256(style)}`,
    "font-src data:", "img-src blob: data:", "worker-src blob: 'self'", "manifest-src 'self'", "base-uri 'none'", "form-action 'none'",
  ].join("; ");
  const meta = `<meta charset="utf-8">\n<meta http-equiv="Content-Security-Policy" content="${policy}">\n<meta name="referrer" content="no-referrer">`;
  html = replaced(html, '<meta charset="utf-8">', meta);
  html = html.replace(/<link rel="preload"[^>]*>\n/g, "");
  html = replaced(html, '<link rel="icon" href="/icon.svg">',
    `<link rel="icon" href="data:image/svg+xml;base64,${base64(icon)}">\n<link rel="manifest" href="app.webmanifest">`);
  html = replaced(html, '<link rel="stylesheet" href="/studio.css">', `<style>${style}</style>`);
  return replaced(html, '<script src="/studio.js"></script>',
    `<script type="text/plain" id="engine-worker">${worker}</script>\n` +
    `<script type="text/plain" id="engine-module">${base64(packed(engine))}</script>\n<script>${script}</script>`);
}

/** Whose work the pages hold, with the licences' own words: they go where the pages go. */
function licences() {
  const parts = [
    ["Fretloom", "LICENSE"],
    ["Gentium Plus, the text font", "node_modules/@fontsource/gentium-plus/LICENSE"],
    ["Bravura Text, the music font, as outlines in the engine", "node_modules/@fontsource/bravura-text/LICENSE"],
    ["preact", "node_modules/preact/LICENSE"],
    ["preact's signals", "node_modules/@preact/signals/LICENSE"],
  ];
  return parts.map(([what, file]) => `${what}\n${"=".repeat(what.length)}\n\n${read(file).trim()}\n`).join("\n\n");
}

const html = read("web/studio/index.html");
const icon = read("web/studio/icon.svg");
const worker = (await bundle({ engine_worker: "web/shared/engine_worker.ts" }, {}))["engine_worker.js"];
const entry = { studio: "web/studio/main.tsx" };

const served = await bundle(entry, { FRETLOOM_ALONE: "false" });
for (const [name, text] of Object.entries(served)) put("studio", name, text);
put("studio", "index.html", html);
put("studio", "icon.svg", icon);
put("studio", "licences.txt", licences());
put("studio", "engine_worker.js", worker);
put("studio", "engine.wasm", engine);
put("studio", "engine_first.wasm", engineFirst);
for (const font of FONTS) put("studio", `fonts/${font}`, fontBytes(font));

const alone = await bundle(entry, { FRETLOOM_ALONE: "true" });
const page = inOneFile(html, alone["studio.js"], alone["studio.css"], worker, icon);
put("static", "index.html", page);
put("static", "icon.svg", icon);
put("static", "licences.txt", licences());
put("static", "app.webmanifest", read("web/studio/app.webmanifest"));
const [serviceWorker] = Object.values(await bundle({ sw: "web/studio/sw.ts" }, {
  FRETLOOM_PAGE: JSON.stringify(createHash("sha256").update(page).digest("hex").slice(0, 16)),
}));
put("static", "sw.js", serviceWorker);
