// What the engine says of the lesson as the student has it, asked once for each change.

import type { ResultOf } from "../engine/engine.js";
import type { EngineLesson } from "../shared/engine_client.js";
import type { Span } from "../shared/player.js";

export type Sentences = ResultOf<"sentences">;
export type PracticeWords = ResultOf<"practice">;
export interface Place {
  readonly string: number;
  readonly fret: number;
}
interface IdeaNotes {
  readonly notes: readonly (Place & { readonly repeat: number })[];
  readonly feels: readonly {
    readonly onsets: readonly string[];
    readonly ending: { readonly fill: readonly Place[]; readonly landing: Place | null } | null;
  }[];
}

export interface IdeaView {
  readonly number: number;
  readonly name: string;
  readonly note: string;
  readonly rule: string;
  readonly feels: readonly number[];
  readonly ladder: readonly number[];
  readonly slow: number;
  readonly goal: number;
  readonly shape: string;
  readonly strokes: string;
  readonly beats: string;
  readonly proof: string;
  readonly spoken: string;
  readonly blocked: number;
  /** The notes of each repetition, in its order. */
  readonly repeats: readonly Span[];
  /** Where each note of a feel lies on the neck. */
  readonly places: readonly (readonly Place[])[];
}

export interface LessonView {
  readonly id: string;
  readonly title: string;
  readonly author: string;
  readonly intro: string;
  readonly key: string;
  readonly cautions: readonly string[];
  readonly ideas: readonly IdeaView[];
}

/** Runs of equal repetition numbers. */
function repeatsOf({ notes }: IdeaNotes): Span[] {
  const spans: { first: number; last: number }[] = [];
  notes.forEach(({ repeat }, i) => {
    if (i === 0 || notes[i - 1]!.repeat !== repeat) spans.push({ first: i, last: i });
    else spans.at(-1)!.last = i;
  });
  return spans;
}

/** The body as it is played, then the ending. */
function placesOf({ notes, feels }: IdeaNotes): Place[][] {
  return feels.map(({ onsets, ending }) => [
    ...notes.slice(0, onsets.length),
    ...(ending?.fill ?? []),
    ...(ending?.landing ? [ending.landing] : []),
  ]);
}

/** A lesson of which nothing can be played gives a text that says why. */
export async function viewOf(lesson: EngineLesson): Promise<LessonView | string> {
  const [sentences, practice, notes] = await lesson.calls({ call: "sentences" }, { call: "practice" }, { call: "notes" });
  if ("error" in sentences) return sentences.error.message;
  if ("error" in practice) return practice.error.message;
  if ("error" in notes) return notes.error.message;
  const document = notes.result as unknown as { readonly key: string; readonly ideas: readonly IdeaNotes[] };
  const ideas = sentences.result.ideas.flatMap((idea, i): IdeaView[] => {
    const said = practice.result.ideas.find((one) => one.idea === idea.idea);
    const played = document.ideas[i];
    if (said === undefined || played === undefined) return [];
    return [
      {
        number: idea.idea,
        name: idea.name || idea.rule.text,
        note: idea.note,
        rule: idea.rule.words,
        feels: idea.feels.map((feel) => feel.notes_per_beat),
        ladder: idea.ladder,
        slow: said.slow,
        goal: said.goal,
        shape: said.shape,
        strokes: said.strokes,
        beats: said.beats,
        proof: said.proof,
        spoken: said.spoken,
        blocked: idea.blocked,
        repeats: repeatsOf(played),
        places: placesOf(played),
      },
    ];
  });
  if (ideas.length === 0) return "Nothing in this lesson can be played as it is.";
  const { title, author, intro } = sentences.result;
  return { id: practice.result.id || title, title, author, intro, key: document.key, cautions: practice.result.cautions, ideas };
}
