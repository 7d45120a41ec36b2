// The engine's thread as typed calls that a page awaits.

import type { Answer, CallName, RequestOf } from "../engine/engine.js";
import type { WorkerAnswer, WorkerReply, WorkerRequest } from "./engine_worker.js";

type Typed<N extends CallName> = RequestOf<N> & { readonly call: N };
/** An answer for each request of a list, in its order. */
export type Answers<R extends readonly { readonly call: CallName }[]> = { [I in keyof R]: Answer<R[I]["call"]> };

type WithoutId<T> = T extends unknown ? Omit<T, "id"> : never;

function read<N extends CallName>({ reply, bytes }: WorkerAnswer): Answer<N> {
  const answer = JSON.parse(reply) as { result: never } | { error: never };
  return "error" in answer ? answer : { result: answer.result, bytes: new Uint8Array(bytes) };
}

/** A lesson's text in the engine. Calls are answered in the order they were made. */
export class EngineLesson {
  readonly #client: EngineClient;
  readonly #number: number;

  constructor(client: EngineClient, number: number) {
    this.#client = client;
    this.#number = number;
  }

  async call<N extends CallName>(request: Typed<N>): Promise<Answer<N>> {
    const [answer] = await this.#client.send({ lesson: this.#number, requests: [request] });
    return read<N>(answer!);
  }

  /** Several calls in one message: nothing comes between them. */
  async calls<const R extends readonly { readonly call: CallName }[]>(
    ...requests: R & { readonly [I in keyof R]: Typed<R[I]["call"]> }
  ): Promise<Answers<R>> {
    const answers = await this.#client.send({ lesson: this.#number, requests });
    return answers.map((answer) => read(answer)) as Answers<R>;
  }

  close(): void {
    void this.#client.send({ close: this.#number });
  }
}

export class EngineClient {
  readonly #worker: Worker;
  readonly #waiting = new Map<number, { resolve(answers: readonly WorkerAnswer[]): void; reject(error: Error): void }>();
  #last = 0;
  #lessons = 0;

  /** Time that the engine has taken since it was started, in milliseconds. */
  work = 0;
  /** Told when the engine begins to work and when all is answered. */
  onWork: (working: boolean) => void = () => {};

  constructor(worker: Worker) {
    this.#worker = worker;
    worker.onmessage = ({ data }: MessageEvent<WorkerReply>) => {
      const waiting = this.#waiting.get(data.id);
      this.#waiting.delete(data.id);
      if ("fault" in data) waiting?.reject(new Error(data.fault));
      else {
        this.work += data.work;
        waiting?.resolve(data.answers);
      }
      // What waited for this answer may ask on.
      if (this.#waiting.size === 0) window.setTimeout(() => this.#waiting.size === 0 && this.onWork(false));
    };
    worker.onerror = (event) => {
      const fault = new Error(event.message || "the engine could not be started");
      for (const { reject } of this.#waiting.values()) reject(fault);
      this.#waiting.clear();
    };
  }

  /** `module`: its bytes, or its address. Lessons may be opened before this has ended. */
  async start(module: ArrayBuffer | string): Promise<void> {
    await this.send({ start: module });
  }

  open(text: string): EngineLesson {
    const number = ++this.#lessons;
    void this.send({ open: number, text });
    return new EngineLesson(this, number);
  }

  send(request: WithoutId<WorkerRequest>): Promise<readonly WorkerAnswer[]> {
    const id = ++this.#last;
    if (this.#waiting.size === 0) this.onWork(true);
    return new Promise((resolve, reject) => {
      this.#waiting.set(id, { resolve, reject });
      this.#worker.postMessage({ id, ...request });
    });
  }
}
