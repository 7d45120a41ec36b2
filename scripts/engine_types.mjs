// The TypeScript types of the engine's calls from their schema: node scripts/engine_types.mjs [OUT]
// OUT is build/web/engine/calls.d.ts unless it is given, where web/tsconfig.json looks for it.
import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { compile } from "json-schema-to-typescript";

const root = join(dirname(fileURLToPath(import.meta.url)), "..");
const out = process.argv[2] ?? join(root, "build/web/engine/calls.d.ts");
const schema = JSON.parse(readFileSync(join(root, "docs/engine.schema.json"), "utf8"));
const types = await compile(schema, "EngineCalls", {
  additionalProperties: false,
  bannerComment: "// Made from docs/engine.schema.json by scripts/engine_types.mjs; not to be edited.",
  cwd: join(root, "docs"),
  format: false,
  ignoreMinAndMaxItems: true,
  unreachableDefinitions: true,
});
mkdirSync(dirname(out), { recursive: true });
writeFileSync(out, types);
