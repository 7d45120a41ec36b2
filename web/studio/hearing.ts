// What sounds, how fast and how loud. The page shows it, the player plays it.

import { signal, type Signal } from "@preact/signals";
import type { LessonDocument } from "./lesson_document.js";

export type Part = "lick" | "vamp" | "click" | "countIn";

export interface Balance {
  readonly on: boolean;
  /** 0 to 1 */
  readonly level: number;
}

/** The note that sounds; null while all is silent. */
export const sounding = signal<{ readonly idea: number; readonly feel: number; readonly note: number } | null>(null);
/** The idea that was heard last. */
export const heard = signal(1);
/** Beats a minute; null: the idea's goal. */
export const tempo = signal<number | null>(null);
/** Sound begins quiet. */
export const balance: Readonly<Record<Part, Signal<Balance>>> = {
  lick: signal({ on: true, level: 0.6 }),
  vamp: signal({ on: true, level: 0.5 }),
  click: signal({ on: false, level: 0.4 }),
  countIn: signal({ on: true, level: 0.4 }),
};

let context: AudioContext | undefined;
let source: AudioBufferSourceNode | undefined;

function stop(): void {
  source?.stop();
  source = undefined;
  sounding.value = null;
}

/** Plays an idea, or stops it. */
export function hear(document: LessonDocument, idea: number, bpm?: number): void {
  const again = sounding.peek()?.idea === idea && bpm === undefined;
  stop();
  heard.value = idea;
  if (again) return;
  if (bpm !== undefined) tempo.value = bpm;
  void play(document, idea, bpm ?? tempo.peek());
}

async function play(document: LessonDocument, idea: number, bpm: number | null): Promise<void> {
  context ??= new AudioContext({ sampleRate: 48000 });
  await context.resume();
  const feel = document.feelOf(idea);
  const answer = await document.lesson.call({ call: "voice", idea, feel: feel + 1, count_in: 0, ...(bpm === null ? {} : { bpm }) });
  if ("error" in answer) return;
  const { frames, notes } = answer.result;
  const samples = new Float32Array(answer.bytes.buffer, answer.bytes.byteOffset, frames * 3);
  const buffer = context.createBuffer(2, frames, 48000);
  buffer.copyToChannel(samples.slice(0, frames), 0);
  buffer.copyToChannel(samples.slice(frames, 2 * frames), 1);
  source = context.createBufferSource();
  source.buffer = buffer;
  source.connect(context.destination);
  const own = source;
  const began = context.currentTime;
  source.start();
  sounding.value = { idea, feel, note: 0 };
  const follow = () => {
    if (source !== own) return;
    const frame = (context!.currentTime - began) * 48000;
    if (frame > frames) return stop();
    let at = 0;
    for (let i = 0; i < notes.length && notes[i]!.begin <= frame; ++i) at = notes[i]!.note;
    if (sounding.peek()?.note !== at) sounding.value = { idea, feel, note: at };
    requestAnimationFrame(follow);
  };
  requestAnimationFrame(follow);
}

/** The loudest sample of what plays, and its frames. */
export function soundNow(): readonly [number, number] {
  const buffer = source?.buffer;
  if (!buffer) return [0, 0];
  let peak = 0;
  for (const sample of buffer.getChannelData(0)) peak = Math.max(peak, Math.abs(sample));
  return [peak, buffer.length];
}
