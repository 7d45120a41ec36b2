// Builds the pages: node scripts/build_web.mjs [ENGINE.wasm]
// Everything a page needs comes to build/web/studio: index.html, the scripts, the style sheet, fonts and the engine.
import { mkdirSync, copyFileSync, rmSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { build } from "esbuild";

const root = join(dirname(fileURLToPath(import.meta.url)), "..");
const out = join(root, "build/web/studio");
const engine = process.argv[2] ?? join(root, "build/wasm/engine.wasm");

rmSync(out, { recursive: true, force: true });
mkdirSync(join(out, "fonts"), { recursive: true });
await build({
  absWorkingDir: root,
  entryPoints: { studio: "web/studio/main.tsx", engine_worker: "web/shared/engine_worker.ts" },
  outdir: out,
  bundle: true,
  minify: true,
  format: "iife",
  target: "es2022",
  jsx: "automatic",
  jsxImportSource: "preact",
  external: ["/fonts/*"],
  loader: { ".toml": "text" },
  define: { FRETLOOM_ALONE: "false" },
  loader: { ".toml": "text" },
  legalComments: "none",
  logLevel: "warning",
});
copyFileSync(join(root, "web/studio/index.html"), join(out, "index.html"));
for (const cut of ["latin-400-normal", "latin-400-italic", "latin-700-normal", "latin-ext-400-normal", "latin-ext-700-normal"])
  copyFileSync(join(root, `node_modules/@fontsource/gentium-plus/files/gentium-plus-${cut}.woff2`), join(out, `fonts/gentium-plus-${cut}.woff2`));
copyFileSync(engine, join(out, "engine.wasm"));
