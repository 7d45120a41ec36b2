// The engine in a thread of its own, so that a page never waits for it. It answers requests in the order they come.

import { Engine, type Lesson } from "../engine/engine.js";

/** What a page asks: a lesson is named by a number that the page gives it. */
export type WorkerRequest =
  | { readonly id: number; readonly start: ArrayBuffer | string }
  | { readonly id: number; readonly open: number; readonly text: string }
  | { readonly id: number; readonly close: number }
  | { readonly id: number; readonly lesson: number; readonly requests: readonly unknown[] };

export interface WorkerAnswer {
  readonly reply: string;
  readonly bytes: ArrayBuffer;
}

/** `answers` has one for each request; `fault` says what stopped the engine. `work` is the time taken, in milliseconds. */
export type WorkerReply =
  | { readonly id: number; readonly answers: readonly WorkerAnswer[]; readonly work: number }
  | { readonly id: number; readonly fault: string };

const thread = self as unknown as {
  onmessage: ((event: MessageEvent<WorkerRequest>) => void) | null;
  postMessage(message: WorkerReply, transfer: Transferable[]): void;
};

let engine: Promise<Engine> | undefined;
const lessons = new Map<number, Lesson>();

/** The module's bytes, or where they lie: read from there, a browser may keep what it compiled. */
function load(module: ArrayBuffer | string): Promise<Engine> {
  return typeof module === "string" ? Engine.loadFrom(fetch(module)) : Engine.load(module);
}

async function answer(request: WorkerRequest): Promise<WorkerAnswer[]> {
  if ("start" in request) {
    engine = load(request.start);
    await engine;
    return [];
  }
  if (engine === undefined) throw new Error("the engine has not been started");
  const ready = await engine;
  if ("open" in request) {
    lessons.set(request.open, ready.open(request.text));
    return [];
  }
  if ("close" in request) {
    lessons.get(request.close)?.close();
    lessons.delete(request.close);
    return [];
  }
  const lesson = lessons.get(request.lesson);
  if (lesson === undefined) throw new Error(`lesson ${request.lesson} is not open`);
  return request.requests.map((one) => {
    const reply = lesson.raw(JSON.stringify(one));
    return { reply, bytes: lesson.rawBytes().buffer as ArrayBuffer };
  });
}

/** One after the other, in the order they came, also while the module is still being read. */
let last: Promise<void> = Promise.resolve();
thread.onmessage = ({ data }) => {
  last = last.then(async () => {
    const began = performance.now();
    try {
      const answers = await answer(data);
      const reply = { id: data.id, answers, work: performance.now() - began };
      thread.postMessage(reply, answers.map(({ bytes }) => bytes));
    } catch (error) {
      thread.postMessage({ id: data.id, fault: error instanceof Error ? error.message : String(error) }, []);
    }
  });
};
