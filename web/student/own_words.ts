// The student's own key, tuning and position, put into a copy of the lesson. The engine derives everything from it anew.

import type { EngineLesson } from "../shared/engine_client.js";
import type { OwnWords } from "./progress.js";
import { pitchClass, tonicOf, transposed } from "./transpose.js";

const quoted = (text: string): string => JSON.stringify(text);

/** What stands in the lesson, to go back to and to move chords from. */
export interface LessonWords {
  readonly text: string;
  readonly key: string;
  /** The vamp as the file has it; nothing where it is the key's own. */
  readonly chords: string | undefined;
}

async function edit(lesson: EngineLesson, key: string, value: string): Promise<string | undefined> {
  const answer = await lesson.call({ call: "edit", key, value });
  return "error" in answer ? answer.error.message : undefined;
}

/** Sets one value after the other, in an order in which the lesson can be read after each, if there is one. */
async function editAll(lesson: EngineLesson, edits: readonly (readonly [string, string])[]): Promise<string | undefined> {
  let left = [...edits];
  let fault: string | undefined;
  while (left.length > 0) {
    const refused: (readonly [string, string])[] = [];
    for (const one of left) {
      const message = await edit(lesson, ...one);
      if (message === undefined) continue;
      refused.push(one);
      fault ??= message;
    }
    if (refused.length === left.length) return fault;
    left = refused;
    fault = undefined;
  }
  return undefined;
}

/** The words that the lesson reads under; where they cannot be, it stays as it was. */
export async function apply(lesson: EngineLesson, original: LessonWords, own: OwnWords): Promise<string | undefined> {
  const before = await lesson.call({ call: "text" });
  await lesson.call({ call: "replace", text: original.text });
  const edits: [string, string][] = [];
  if (own.key !== undefined) edits.push(["key", quoted(own.key)]);
  if (own.key !== undefined && original.chords !== undefined)
    edits.push(["vamp.chords", quoted(transposed(original.chords, original.key, own.key))]);
  if (own.tuning !== undefined) edits.push(["tuning", own.tuning]);
  if (own.from !== undefined) edits.push(["layout.from", String(own.from)]);
  const fault = await editAll(lesson, edits);
  if (fault !== undefined && "result" in before) await lesson.call({ call: "replace", text: before.result.text });
  return fault;
}

/** Whether two names mean one key: "D# dorian", "Eb dorian". */
function isSameKey(a: string, b: string): boolean {
  const mode = (key: string) => key.slice(tonicOf(key).length).trim().toLowerCase();
  return pitchClass(tonicOf(a)) === pitchClass(tonicOf(b)) && mode(a) === mode(b);
}

/** The position nearest to the wanted one where all ideas can be played in this key. */
export async function nearestPlace(lesson: EngineLesson, ideas: readonly number[], key: string, from: number): Promise<number | undefined> {
  let places: readonly number[] | undefined;
  for (const idea of ideas) {
    const answer = await lesson.call({ call: "everywhere", idea });
    if ("error" in answer) return undefined;
    const own = answer.result.placements.filter((one) => one.playable && isSameKey(one.key, key)).map((one) => one.from);
    places = places === undefined ? own : places.filter((place) => own.includes(place));
  }
  return [...(places ?? [])].sort((a, b) => Math.abs(a - from) - Math.abs(b - from))[0];
}
