// What sounds, how fast and how loud. The page shows it, the player plays it.

import { effect, signal, type Signal } from "@preact/signals";
import type { EngineClient } from "../shared/engine_client.js";
import { Player, quietLevels, type Span } from "../shared/player.js";
import type { LessonDocument } from "./lesson_document.js";

export type Part = "lick" | "vamp" | "click" | "countIn";

export interface Balance {
  readonly on: boolean;
  /** 0 to 1 */
  readonly level: number;
}

/** What sounds; null while all is silent. `note` is undefined in rests and before the first one. */
export const sounding = signal<{ readonly idea: number; readonly feel: number; readonly note: number | undefined } | null>(null);
/** Whether anything was heard yet. */
export const wasHeard = signal(false);
/** The idea that was heard last. */
export const heard = signal(1);
/** Beats a minute; null: the idea's goal. */
export const tempo = signal<number | null>(null);
/** Whether it goes round, and between which notes; null: all of them. */
export const loop = signal<{ readonly on: boolean; readonly idea: number; readonly span: Span | null }>({ on: false, idea: 0, span: null });
/** Sound begins quiet. */
export const balance: Readonly<Record<Part, Signal<Balance>>> = {
  lick: signal({ on: true, level: quietLevels.lick }),
  vamp: signal({ on: true, level: quietLevels.vamp }),
  click: signal({ on: false, level: quietLevels.click }),
  countIn: signal({ on: false, level: quietLevels.countIn }),
};
/** Why nothing sounds; empty while all is well. */
export const soundFault = signal("");

let client: EngineClient | undefined;
let player: Player | undefined;
/** The first press on a note, while the second is waited for. */
let loopStart: number | undefined;

export function soundBy(engine: EngineClient): void {
  client = engine;
}

export function stop(): void {
  player?.stop();
  sounding.value = null;
}

/** Plays an idea; pressed again, it stops. Another tempo, or another place, goes on playing there. */
export function hear(document: LessonDocument, idea: number, { bpm, from }: { bpm?: number; from?: number } = {}): void {
  const again = sounding.peek()?.idea === idea && (bpm === undefined || bpm === tempo.peek()) && from === undefined;
  heard.value = idea;
  wasHeard.value = true;
  if (again) return stop();
  const goesOn = sounding.peek()?.idea === idea && from === undefined && bpm !== undefined;
  if (bpm !== undefined) tempo.value = bpm;
  if (goesOn) return void player?.setTempo(bpm);
  play(document, idea, { from, counted: balance.countIn.peek().on });
}

/** How long a lesson must rest after a change until what sounds is played anew. */
const REST = 250;

/** What sounds goes with the lesson: with a change, and with a choice that is only looked at. Returns what ends it. */
export function followChanges(document: LessonDocument): () => void {
  // The first press finds device and voice ready.
  let timer = window.setTimeout(() => client && (player ??= newPlayer(client)).warm(document.engine, 1), REST);
  let { text } = document.shown.peek();
  const end = document.shown.subscribe((shown) => {
    if (shown.text === text) return;
    text = shown.text;
    window.clearTimeout(timer);
    timer = window.setTimeout(() => {
      const now = sounding.peek();
      if (now !== null) play(document, now.idea, { counted: false });
    }, REST);
  });
  return () => (end(), window.clearTimeout(timer));
}

function play(document: LessonDocument, idea: number, { from, counted }: { from?: number | undefined; counted: boolean }): void {
  if (client === undefined) return;
  player ??= newPlayer(client);
  const feel = document.feelOf(idea);
  const goal = document.ideas.peek().find((one) => one.number === idea)?.words?.ladder.at(-1) ?? 120;
  const { on, span } = loop.peek().idea === idea ? loop.peek() : { on: loop.peek().on, span: null };
  player.stop();
  sounding.value = { idea, feel, note: undefined };
  player.onNote = (note) => {
    if (sounding.peek() !== null) sounding.value = { idea, feel, note };
  };
  player.onEnd = (fault = "") => {
    soundFault.value = fault;
    sounding.value = null;
  };
  soundFault.value = "";
  void player.play({
    lesson: document.engine,
    idea,
    feel: feel + 1,
    bpm: tempo.peek() ?? goal,
    loop: on,
    ...(span === null || !on ? {} : { span }),
    ...(from === undefined ? {} : { from }),
    countIn: counted ? 1 : 0,
  });
}

/** A note was pressed: it sounds from there; with the loop on, two presses are its ends. */
export function pressNote(document: LessonDocument, idea: number, note: number): void {
  if (!loop.peek().on) return hear(document, idea, { from: note });
  if (loopStart === undefined || loop.peek().idea !== idea) {
    loopStart = note;
    loop.value = { on: true, idea, span: { first: note, last: note } };
    return;
  }
  const span = { first: Math.min(loopStart, note), last: Math.max(loopStart, note) };
  loopStart = undefined;
  loop.value = { on: true, idea, span };
  play(document, idea, { counted: balance.countIn.peek().on });
}

export function switchLoop(document: LessonDocument, idea: number): void {
  loopStart = undefined;
  loop.value = { on: !loop.peek().on, idea, span: null };
  if (sounding.peek() !== null) play(document, idea, { counted: false });
}

/** Shown in its place while the page is printed or left. */
export function soundNow(): Player | undefined {
  return player;
}

function newPlayer(engine: EngineClient): Player {
  const made = new Player(engine, new AudioContext({ sampleRate: 48000, latencyHint: "interactive" }));
  effect(() => {
    const level = (part: "lick" | "vamp" | "click") => (balance[part].value.on ? balance[part].value.level : 0);
    made.levels = { lick: level("lick"), click: level("click"), vamp: level("vamp"), countIn: quietLevels.countIn };
  });
  return made;
}
