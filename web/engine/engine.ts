// The engine's WebAssembly module as typed calls. Types come from docs/engine.schema.json (scripts/engine_types.mjs).

import type { EngineCalls, EngineError } from "./calls.js";

export type CallName = keyof EngineCalls;
export type RequestOf<N extends CallName> = EngineCalls[N]["request"];
export type ResultOf<N extends CallName> = EngineCalls[N]["result"];

/** What a call gives back; `bytes` are a copy, empty for calls that have none. */
export type Answer<N extends CallName> =
  | { readonly result: ResultOf<N>; readonly bytes: Uint8Array }
  | { readonly error: EngineError };

/** What the module exports: see src/engine/module.cpp. Numbers are addresses, lengths and handles. */
interface Exports {
  readonly memory: WebAssembly.Memory;
  _initialize(): void;
  fl_open(text: number, length: number): number;
  fl_call(lesson: number, request: number, length: number, replyLength: number): number;
  fl_bytes(lesson: number, length: number): number;
  fl_free(lesson: number): void;
  fl_allocate(size: number): number;
  fl_release(address: number): void;
}

/** One lesson's text in the module. Close it when it is no longer needed. */
export class Lesson {
  readonly #exports: Exports;
  readonly #length: number;
  #handle: number;

  constructor(exports: Exports, text: string) {
    this.#exports = exports;
    this.#length = exports.fl_allocate(4);
    this.#handle = this.#lend(text, (address, length) => exports.fl_open(address, length));
    if (this.#handle === 0) throw new RangeError("there is no memory for another lesson");
  }

  call<N extends CallName>(request: RequestOf<N> & { readonly call: N }): Answer<N> {
    const reply = JSON.parse(this.raw(JSON.stringify(request))) as { result: ResultOf<N> } | { error: EngineError };
    if ("error" in reply) return reply;
    return { result: reply.result, bytes: this.#bytes() };
  }

  /** The reply to a request as text. */
  raw(request: string): string {
    const reply = this.#lend(request, (address, length) =>
      this.#exports.fl_call(this.#handle, address, length, this.#length),
    );
    return new TextDecoder().decode(this.#view(reply));
  }

  /** The bytes of the last reply, copied. */
  rawBytes(): Uint8Array {
    return this.#bytes();
  }

  close(): void {
    if (this.#handle === 0) return;
    this.#exports.fl_free(this.#handle);
    this.#exports.fl_release(this.#length);
    this.#handle = 0;
  }

  #bytes(): Uint8Array {
    return this.#view(this.#exports.fl_bytes(this.#handle, this.#length)).slice();
  }

  /** What lies at an address, as long as the module last said. The memory may have grown: a view is made anew. */
  #view(address: number): Uint8Array {
    const length = new DataView(this.#exports.memory.buffer).getUint32(this.#length, true);
    return new Uint8Array(this.#exports.memory.buffer, address, length);
  }

  /** Calls with a text in the module's memory, which is given back behind it. */
  #lend(text: string, use: (address: number, length: number) => number): number {
    const bytes = new TextEncoder().encode(text);
    const address = this.#exports.fl_allocate(Math.max(bytes.length, 1));
    if (address === 0) throw new RangeError("there is no memory for this text");
    new Uint8Array(this.#exports.memory.buffer, address, bytes.length).set(bytes);
    try {
      return use(address, bytes.length);
    } finally {
      this.#exports.fl_release(address);
    }
  }
}

export class Engine {
  readonly #exports: Exports;

  private constructor(exports: Exports) {
    this.#exports = exports;
  }

  /** The module needs nothing of the page. */
  static async load(module: BufferSource): Promise<Engine> {
    return Engine.#started(await WebAssembly.instantiate(module, {}));
  }

  /** Compiled while it comes in; what a browser compiled it may keep. */
  static async loadFrom(response: Promise<Response>): Promise<Engine> {
    return Engine.#started(await WebAssembly.instantiateStreaming(response, {}));
  }

  static #started({ instance }: WebAssembly.WebAssemblyInstantiatedSource): Engine {
    const exports = instance.exports as unknown as Exports;
    exports._initialize();
    return new Engine(exports);
  }

  /** What the module's memory has grown to; it never shrinks. */
  memoryBytes(): number {
    return this.#exports.memory.buffer.byteLength;
  }

  open(text: string): Lesson {
    return new Lesson(this.#exports, text);
  }
}
