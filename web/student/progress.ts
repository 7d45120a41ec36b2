// What a student has reached, kept on the device under the lesson's id, and as a file.

import type { Levels } from "../shared/player.js";
import { quietLevels } from "../shared/player.js";

/** What the student has instead of the lesson's own words; absent where it is the lesson's. */
export interface OwnWords {
  readonly key?: string;
  readonly tuning?: string;
  readonly from?: number;
  readonly hand: "right" | "left";
  /** Pixels of a digit. */
  readonly size: number;
}
export const lessonsOwn: OwnWords = { hand: "right", size: 16 };

export interface Reached {
  readonly idea: number;
  readonly notesPerBeat: number;
  readonly bpm: number;
  /** "2026-11-26". */
  readonly day: string;
}

export interface Progress {
  readonly format: 1;
  readonly lesson: string;
  readonly reached: readonly Reached[];
  /** Days with practice, ascending. */
  readonly days: readonly string[];
  readonly own: OwnWords;
  readonly levels: Levels;
}

export const none = (lesson: string): Progress => ({ format: 1, lesson, reached: [], days: [], own: lessonsOwn, levels: quietLevels });

const k = { days: 20_000, reached: 20_000, text: 1_000, bytes: 2_000_000 };

const isObject = (value: unknown): value is Record<string, unknown> => typeof value === "object" && value !== null && !Array.isArray(value);
const isNumber = (value: unknown, least: number, most: number): value is number =>
  typeof value === "number" && Number.isFinite(value) && value >= least && value <= most;
const isDay = (value: unknown): value is string => typeof value === "string" && /^\d{4}-\d{2}-\d{2}$/.test(value) && !Number.isNaN(Date.parse(value));
const isText = (value: unknown): value is string => typeof value === "string" && value.length <= k.text;

function readReached(value: unknown): Reached | undefined {
  if (!isObject(value)) return undefined;
  const { idea, notesPerBeat, bpm, day } = value;
  const whole = Number.isInteger(idea) && Number.isInteger(notesPerBeat);
  if (!whole || !isNumber(idea, 1, 256) || !isNumber(notesPerBeat, 1, 12) || !isNumber(bpm, 1, 600) || !isDay(day)) return undefined;
  return { idea, notesPerBeat, bpm, day };
}

function readOwn(value: unknown): OwnWords | undefined {
  if (!isObject(value)) return undefined;
  const { key, tuning, from, hand, size } = value;
  if ((key !== undefined && !isText(key)) || (tuning !== undefined && !isText(tuning))) return undefined;
  if (from !== undefined && (!isNumber(from, 0, 48) || !Number.isInteger(from))) return undefined;
  if ((hand !== "right" && hand !== "left") || !isNumber(size, 13, 40)) return undefined;
  return { hand, size, ...(key === undefined ? {} : { key }), ...(tuning === undefined ? {} : { tuning }), ...(from === undefined ? {} : { from }) };
}

function readLevels(value: unknown): Levels | undefined {
  if (!isObject(value)) return undefined;
  const { lick, click, vamp, countIn } = value;
  if (!isNumber(lick, 0, 1) || !isNumber(click, 0, 1) || !isNumber(vamp, 0, 1) || !isNumber(countIn, 0, 1)) return undefined;
  return { lick, click, vamp, countIn };
}

/** What a text says, or nothing if it is not whole: a part of it would be lost without a word. */
export function parseProgress(text: string): Progress | undefined {
  if (text.length > k.bytes) return undefined;
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return undefined;
  }
  if (!isObject(value) || value.format !== 1 || !isText(value.lesson)) return undefined;
  if (!Array.isArray(value.reached) || value.reached.length > k.reached) return undefined;
  if (!Array.isArray(value.days) || value.days.length > k.days || !value.days.every(isDay)) return undefined;
  const reached = value.reached.map(readReached);
  const own = readOwn(value.own);
  const levels = readLevels(value.levels);
  if (own === undefined || levels === undefined || !reached.every((one): one is Reached => one !== undefined)) return undefined;
  return { format: 1, lesson: value.lesson, reached, days: [...new Set(value.days as string[])].sort(), own, levels };
}

/** The best of both; own words and levels are those of this device. */
export function merged(here: Progress, there: Progress): Progress {
  const all = there.reached.reduce(withReached, here);
  return { ...all, days: [...new Set([...here.days, ...there.days])].sort() };
}

/** With a tempo that was played cleanly; a slower one than before changes nothing. */
export function withReached(progress: Progress, reached: Reached): Progress {
  const same = ({ idea, notesPerBeat }: Reached) => idea === reached.idea && notesPerBeat === reached.notesPerBeat;
  const before = progress.reached.find(same);
  if (before !== undefined && before.bpm >= reached.bpm) return progress;
  return { ...progress, reached: [...progress.reached.filter((one) => !same(one)), reached] };
}

export function withDay(progress: Progress, day: string): Progress {
  return progress.days.includes(day) ? progress : { ...progress, days: [...progress.days, day].sort() };
}

export function reachedAt(progress: Progress, idea: number, notesPerBeat: number): number | undefined {
  return progress.reached.find((one) => one.idea === idea && one.notesPerBeat === notesPerBeat)?.bpm;
}

/** The device's own day. */
export function today(now = new Date()): string {
  const two = (n: number) => String(n).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

export class ProgressStore {
  readonly #key: string;
  readonly #lesson: string;
  /** What was kept before could not be read, and lies beside. */
  damaged = false;
  /** The device keeps nothing, as in a private window. */
  forgetful = false;
  value: Progress;

  constructor(lesson: string) {
    this.#lesson = lesson;
    this.#key = `fretloom practice: ${lesson}`;
    this.value = this.#read();
  }

  #read(): Progress {
    try {
      const text = localStorage.getItem(this.#key);
      if (text === null) return none(this.#lesson);
      const progress = parseProgress(text);
      if (progress !== undefined) return progress;
      localStorage.setItem(`${this.#key}, damaged`, text);
      this.damaged = true;
    } catch {
      this.forgetful = true;
    }
    return none(this.#lesson);
  }

  keep(value: Progress): void {
    this.value = value;
    try {
      localStorage.setItem(this.#key, JSON.stringify(value));
    } catch {
      this.forgetful = true;
    }
  }

  file(): string {
    return `${JSON.stringify(this.value, null, 2)}\n`;
  }

  /** Takes a file in; nothing changes where it is damaged or of another lesson, and a sentence says so. */
  take(text: string): string | undefined {
    const there = parseProgress(text);
    if (there === undefined) return "This file is damaged, or it is not a practice file. Nothing here has changed.";
    if (there.lesson !== this.#lesson) return "This practice file belongs to another lesson. Nothing here has changed.";
    this.keep(merged(this.value, there));
    return undefined;
  }
}
