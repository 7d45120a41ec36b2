// Keeps the open lesson in its store: shortly after a change, and at once when asked. A lesson that was changed
// elsewhere meanwhile is never written over: the teacher chooses.

import { signal, type Signal } from "@preact/signals";
import type { LessonDocument } from "./lesson_document.js";
import { StoreError, type Created, type Kept, type Store } from "./store.js";

/** How long after the last change a lesson is written. */
const PAUSE = 500;

export type SavingState =
  | { readonly is: "kept" }
  | { readonly is: "waiting" }
  | { readonly is: "conflict"; readonly other: Kept }
  | { readonly is: "gone" }
  | { readonly is: "failed"; readonly message: string };

export class Saving {
  readonly state = signal<SavingState>({ is: "kept" });
  readonly #store: Store;
  readonly #document: LessonDocument;
  /** null: a lesson to begin with, which nobody has changed yet. */
  readonly name: Signal<string | null>;
  #version: string | null;
  #timer = 0;
  #writing: Promise<void> = Promise.resolve();
  readonly #unwatch: () => void;

  constructor(store: Store, document: LessonDocument, name: string | null, version: string | null) {
    this.#store = store;
    this.#document = document;
    this.name = signal(name);
    this.#version = version;
    document.onChange = () => this.#soon();
    this.#unwatch = store.watch((changes) => {
      for (const change of changes) if (change.name === this.name.peek() && change.version !== this.#version) void this.#changedOutside(change.version);
    });
  }

  /** Writes what is not written yet. */
  async now(): Promise<void> {
    window.clearTimeout(this.#timer);
    if (this.state.peek().is !== "waiting" && this.state.peek().is !== "failed") return this.#writing;
    this.#writing = this.#writing.then(() => this.#write());
    return this.#writing;
  }

  /** The lesson's name in its store, where it is put now if it is not there yet. */
  async keptName(): Promise<string> {
    if (this.name.peek() === null) this.state.value = { is: "waiting" };
    await this.now();
    const name = this.name.peek();
    if (name === null) throw new StoreError("away", "The lesson could not be written.");
    return name;
  }

  async close(): Promise<void> {
    await this.now();
    this.#unwatch();
    this.#document.onChange = () => {};
  }

  /** The text of this page goes over the other one. */
  async keepMine(): Promise<void> {
    const state = this.state.peek();
    if (state.is === "conflict") this.#version = state.other.version;
    this.state.value = { is: "waiting" };
    await this.now();
  }

  /** The other text comes into this page; its own can be had back by going one step back. */
  async takeTheirs(): Promise<void> {
    const state = this.state.peek();
    if (state.is !== "conflict") return;
    await this.#take(state.other);
  }

  #soon(): void {
    if (this.state.peek().is === "conflict" || this.state.peek().is === "gone") return;
    this.state.value = { is: "waiting" };
    window.clearTimeout(this.#timer);
    this.#timer = window.setTimeout(() => void this.now(), PAUSE);
  }

  async #write(): Promise<void> {
    const { text } = this.#document.kept.peek();
    try {
      const name = this.name.peek();
      const answer =
        name === null
          ? await this.#store.create(this.#document.kept.peek().sentences?.title || "lesson", text)
          : await this.#store.write(name, text, this.#version);
      if ("conflict" in answer) {
        this.state.value = { is: "conflict", other: answer.conflict };
        return;
      }
      this.#version = answer.version;
      if ("name" in answer) this.name.value = (answer as Created).name;
      if (this.#document.kept.peek().text === text) this.state.value = { is: "kept" };
      else this.#soon();
    } catch (error) {
      if (!(error instanceof StoreError)) throw error;
      this.state.value = error.kind === "gone" ? { is: "gone" } : { is: "failed", message: error.message };
    }
  }

  async #changedOutside(version: string | null): Promise<void> {
    if (version === null) {
      this.state.value = { is: "gone" };
      return;
    }
    const other = await this.#store.read(this.name.peek()!);
    if (other.version === this.#version) return;
    if (other.text === this.#document.kept.peek().text) {
      this.#version = other.version;
      this.state.value = { is: "kept" };
    } else if (this.state.peek().is === "kept") await this.#take(other);
    else this.state.value = { is: "conflict", other };
  }

  async #take(other: Kept): Promise<void> {
    this.#version = other.version;
    await this.#document.replace(other.text);
    window.clearTimeout(this.#timer);
    this.state.value = { is: "kept" };
  }
}
