// What lies in the page itself: the lesson, its kit, the engine's module and the script of its thread. Nothing is fetched.

import { EngineClient } from "../shared/engine_client.js";
import { Kit } from "../shared/kit.js";

const text = (id: string): string => document.getElementById(id)?.textContent?.trim() ?? "";

/** The lesson that the packer put in. */
export function embeddedLesson(): string {
  const value: unknown = JSON.parse(text("lesson"));
  return typeof value === "string" ? value : "";
}

/** The sounds of its band's drums and keys, if the packer had them. */
export function embeddedKit(): Promise<Kit | undefined> {
  return Kit.read(text("kit"));
}

/** Whose work the page holds. */
export function licences(): string {
  return text("licences");
}

async function inflated(base64: string): Promise<ArrayBuffer> {
  const binary = atob(base64);
  const bytes = new Uint8Array(binary.length);
  for (let i = 0; i < binary.length; ++i) bytes[i] = binary.charCodeAt(i);
  return new Response(new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"))).arrayBuffer();
}

/** The engine in a thread of its own, out of the page. */
export async function startEngine(): Promise<EngineClient> {
  const script = new Blob([JSON.parse(text("engine-thread")) as string], { type: "text/javascript" });
  const client = new EngineClient(new Worker(URL.createObjectURL(script)));
  await client.start(await inflated(text("engine")));
  return client;
}
