// The typed engine around a module: the types made of the schema, the TypeScript compiled, the module started.
import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

export async function load(root, module) {
  const folder = mkdtempSync(join(tmpdir(), "fretloom-engine-"));
  const node = (...args) => execFileSync(process.execPath, args, { cwd: root, encoding: "utf8", stdio: "pipe" });
  try {
    node("scripts/engine_types.mjs");
    node("node_modules/typescript/bin/tsc", "-p", "web", "--noEmit", "false", "--rootDir", "web", "--outDir", folder);
    const { Engine } = await import(pathToFileURL(join(folder, "engine/engine.js")).href);
    return await Engine.load(readFileSync(module));
  } catch (error) {
    throw new Error(`${error.message}\n${error.stdout ?? ""}${error.stderr ?? ""}`);
  } finally {
    rmSync(folder, { recursive: true });
  }
}
