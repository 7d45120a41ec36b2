// What a hand on a drawing needs of the page around it.

import type { EngineLesson } from "../shared/engine_client.js";

export interface HandHost {
  /** The lesson as it is kept: changes are asked of it. */
  readonly lesson: Pick<EngineLesson, "call">;
  readonly idea: number;
  /** From 1. */
  feel(): number;
  /** Draws the lesson as this text would make it; null draws it again as it is kept. */
  preview(text: string | null): void | Promise<void>;
  /** Keeps the text. `says` tells what was done; the hand has said it already. */
  commit(text: string, says: string): void | Promise<void>;
}

export interface LoomHost extends HandHost {
  /** Whether letters and signs do something. */
  lettersWork(): boolean;
  /** Plays from this note on. */
  listen(note: number): void;
}

export interface NeckHost extends HandHost {
  /** Before which of the rule's notes a place that is tapped goes: as many as there are puts it behind all. */
  behind(): number;
  /** As preview and commit, for one value of the lesson. */
  previewValue(key: string, value: string | null): void | Promise<void>;
  commitValue(key: string, value: string, says: string): void | Promise<void>;
}

/** "there is no string 0" as a sentence. */
export function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1) + (/[.!?]$/.test(text) ? "" : ".");
}

/** An element with a class. */
export function element<K extends keyof HTMLElementTagNameMap>(tag: K, name: string): HTMLElementTagNameMap[K] {
  const made = document.createElement(tag);
  made.className = name;
  return made;
}

/** A point of a drawing, in pixels from its corner. */
export interface Point {
  readonly x: number;
  readonly y: number;
}

/** Puts an element's middle somewhere. */
export function put(what: HTMLElement, { x, y }: Point): void {
  what.style.left = `${x}px`;
  what.style.top = `${y}px`;
}
