// Builds the student's page, one file with all that it needs: node scripts/build_student.mjs [ENGINE.wasm [OUT]]
// OUT is build/web/student unless it is given: practice.html, and what lies beside it, practice.webmanifest and
// practice-worker.js. A packer puts the lesson, its title, the pack's name and a stamp in place of "@LESSON@", "@TITLE@", @NAME@
// and @STAMP@.
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import { build } from "esbuild";

const root = join(dirname(fileURLToPath(import.meta.url)), "..");
const engine = process.argv[2] ?? join(root, "build/wasm/engine_first.wasm");
const out = process.argv[3] ?? join(root, "build/web/student");

async function bundle(entry) {
  const { outputFiles } = await build({
    absWorkingDir: root,
    entryPoints: [entry],
    outdir: out,
    bundle: true,
    write: false,
    minify: true,
    format: "iife",
    target: "es2022",
    charset: "utf8",
    legalComments: "none",
    logLevel: "warning",
  });
  const text = (ending) => outputFiles.find(({ path }) => path.endsWith(ending))?.text ?? "";
  return { script: text(".js"), style: text(".css") };
}

const font = (weight, style) => {
  const file = join(root, `node_modules/@fontsource/gentium-plus/files/gentium-plus-latin-${weight}-${style}.woff2`);
  const data = readFileSync(file).toString("base64");
  return `@font-face{font-family:"Gentium Plus";font-weight:${weight};font-style:${style};src:url(data:font/woff2;base64,${data}) format("woff2")}`;
};
/** A file that would not change is not written; two builds may be at it, so each puts a whole one into its place. */
function write(name, text) {
  const file = join(out, name);
  if (existsSync(file) && readFileSync(file, "utf8") === text) return;
  mkdirSync(out, { recursive: true });
  writeFileSync(`${file}.${process.pid}`, text);
  renameSync(`${file}.${process.pid}`, file);
}

/** RFC 1952, without a time and with no system named. */
function packed(content) {
  const bytes = gzipSync(content, { level: 9 });
  bytes[9] = 255;
  return bytes;
}

/** Nothing in a script block may end it. */
const inScript = (text) => text.replaceAll("</", "<\\/").replaceAll("<!--", "<\\!--");
const hash = (text) => `'sha256-${createHash("sha256").update(text).digest("base64")}'`;

/** Whose work the page holds, with the licences' own words. */
const licences = [
  ["Fretloom", "LICENSE"],
  ["Gentium Plus, the text font", "node_modules/@fontsource/gentium-plus/LICENSE"],
  ["Bravura Text, the music font, as outlines in the engine", "node_modules/@fontsource/bravura-text/LICENSE"],
].map(([what, file]) => `${what}\n${"=".repeat(what.length)}\n\n${readFileSync(join(root, file), "utf8").trim()}\n`);

const page = await bundle("web/student/main.ts");
const thread = await bundle("web/shared/engine_worker.ts");
const script = inScript(page.script);
const style = [font(400, "normal"), font(700, "normal"), font(400, "italic"), page.style].join("\n");
const policy = [
  "default-src 'none'",
  `script-src ${hash(script)} 'wasm-unsafe-eval'`,
  `style-src ${hash(style)}`,
  "font-src data:",
  "img-src data:",
  "worker-src blob: 'self'",
  "manifest-src 'self'",
  "connect-src 'none'",
  "base-uri 'none'",
  "form-action 'none'",
].join("; ");
const parts = {
  POLICY: policy,
  STYLE: style,
  SCRIPT: script,
  LICENCES: inScript(licences.join("\n\n")),
  THREAD: inScript(JSON.stringify(thread.script)),
  ENGINE: packed(readFileSync(engine)).toString("base64"),
};
let html = readFileSync(join(root, "web/student/page.html"), "utf8");
for (const [name, text] of Object.entries(parts)) html = html.replace(`@${name}@`, () => text);
write("practice.html", html);
write("practice-worker.js", readFileSync(join(root, "web/student/worker.js"), "utf8"));
const icon = readFileSync(join(root, "web/studio/icon.svg"), "utf8").trim();
const manifest = readFileSync(join(root, "web/student/app.webmanifest"), "utf8");
write("practice.webmanifest", manifest.replace("@ICON@", () => `data:image/svg+xml,${encodeURIComponent(icon)}`));
