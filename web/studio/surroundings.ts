// What a page stands on: beside the server of `fretloom studio`, or alone in one file.

import { EngineClient } from "../shared/engine_client.js";
import { BrowserStore } from "./browser_store.js";
import { FolderStore } from "./folder_store.js";
import type { Store } from "./store.js";

/** Whether the page is alone: set by scripts/build_web.mjs. */
declare const FRETLOOM_ALONE: boolean;

export function openStore(): Promise<Store> {
  return FRETLOOM_ALONE ? BrowserStore.open() : FolderStore.open();
}

/** The engine in its thread. Lessons may be opened before `ready`. */
export function startEngine(): { readonly engine: EngineClient; readonly ready: Promise<void> } {
  if (!FRETLOOM_ALONE) {
    const engine = new EngineClient(new Worker("/engine_worker.js"));
    return { engine, ready: engine.start("/engine_first.wasm") };
  }
  const worker = new Blob([partOf("engine-worker")], { type: "text/javascript" });
  const engine = new EngineClient(new Worker(URL.createObjectURL(worker)));
  return { engine, ready: inflate(partOf("engine-module")).then((module) => engine.start(module)) };
}

/** Lets the browser keep the page where it is hosted, so that it opens without a network. From a disk it is there anyway. */
export function keepPage(): void {
  if (!FRETLOOM_ALONE || location.protocol === "file:") return;
  void navigator.serviceWorker?.register("sw.js").catch(() => undefined);
}

let searching: Promise<EngineClient> | undefined;

/**
 * The engine that can explain notes. Behind the server that is a larger module, which is fetched when it is first asked for;
 * the page that is alone has it from the start.
 */
export function explainer(engine: EngineClient): Promise<EngineClient> {
  if (FRETLOOM_ALONE) return Promise.resolve(engine);
  const start = async (): Promise<EngineClient> => {
    const other = new EngineClient(new Worker("/engine_worker.js"));
    await other.start("/engine.wasm");
    return other;
  };
  return (searching ??= start());
}

/** A part of the page's own file that is no script of its own. */
function partOf(id: string): string {
  return document.getElementById(id)?.textContent ?? "";
}

/** What was packed by gzip and written as base64. */
async function inflate(base64: string): Promise<ArrayBuffer> {
  const bytes = Uint8Array.from(atob(base64), (sign) => sign.charCodeAt(0));
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream).arrayBuffer();
}
