// The lesson as the teacher wrote it, and the student's own key, tuning and position put into a copy of it. The engine derives
// everything from that anew.

import type { EngineLesson } from "../shared/engine_client.js";
import type { OwnWords } from "./progress.js";
import { pitchClass, tonicOf, transposed } from "./transpose.js";

/** A value as TOML writes it, to put at a key; without one the key goes, so that the lesson's holds. */
type Edit = readonly [key: string, value?: string];

/** What an idea sets for itself, beside what the lesson sets for all. */
interface IdeaWords {
  readonly number: number;
  readonly key: string | undefined;
  readonly chords: string | undefined;
  readonly tuning: boolean;
  /** How many frets above the lesson's place it lies. */
  readonly frets: number | undefined;
}
interface Written {
  readonly key: string;
  /** Nothing where the vamp is the key's own. */
  readonly chords: string | undefined;
  readonly ideas: readonly IdeaWords[];
}

const quoted = (text: string): string => JSON.stringify(text);

function editsOf({ key, chords, ideas }: Written, own: OwnWords): Edit[] {
  const edits: Edit[] = [];
  if (own.key !== undefined) {
    const to = own.key;
    const move = (at: string, text: string | undefined) => text !== undefined && edits.push([at, quoted(transposed(text, key, to))]);
    edits.push(["key", quoted(to)]);
    move("vamp.chords", chords);
    for (const idea of ideas) {
      move(`idea[${idea.number}].key`, idea.key);
      move(`idea[${idea.number}].vamp.chords`, idea.chords);
    }
  }
  if (own.tuning !== undefined) {
    edits.push(["tuning", own.tuning]);
    for (const { number, tuning } of ideas) if (tuning) edits.push([`idea[${number}].tuning`]);
  }
  if (own.from !== undefined) {
    edits.push(["layout.from", String(own.from)]);
    for (const { number, frets } of ideas)
      if (frets !== undefined) edits.push([`idea[${number}].layout.from`, String(Math.max(0, own.from + frets))]);
  }
  return edits;
}

const tonicPitch = (key: string): number => pitchClass(tonicOf(key));

/** Whether two names mean one key: "D# dorian", "Eb dorian". */
function isSameKey(a: string, b: string): boolean {
  const mode = (key: string) => key.slice(tonicOf(key).length).trim().toLowerCase();
  return tonicPitch(a) === tonicPitch(b) && mode(a) === mode(b);
}

export class LessonWords {
  readonly #lesson: EngineLesson;
  readonly #text: string;
  #written: Promise<Written> | undefined;

  constructor(lesson: EngineLesson, text: string) {
    this.#lesson = lesson;
    this.#text = text;
  }

  /** The words that the lesson reads under; where they cannot be, it stays as it was. */
  async apply(own: OwnWords): Promise<string | undefined> {
    const before = await this.#lesson.call({ call: "text" });
    const written = await this.#asWritten();
    await this.#lesson.call({ call: "replace", text: this.#text });
    const fault = await this.#editAll(editsOf(written, own));
    if (fault !== undefined && "result" in before) await this.#lesson.call({ call: "replace", text: before.result.text });
    return fault;
  }

  /** The fret nearest to the wanted one from which all ideas can be played in this key. */
  async nearest(numbers: readonly number[], key: string, from: number): Promise<number | undefined> {
    const before = await this.#lesson.call({ call: "text" });
    const written = await this.#asWritten();
    if ("result" in before) await this.#lesson.call({ call: "replace", text: before.result.text });
    let places: readonly number[] | undefined;
    for (const number of numbers) {
      const answer = await this.#lesson.call({ call: "everywhere", idea: number });
      if ("error" in answer) return undefined;
      const idea = written.ideas.find((one) => one.number === number);
      const moved = idea?.key === undefined ? undefined : transposed(idea.key, written.key, key);
      // A key of its own keeps its mode.
      const fits = (one: string) => (moved === undefined ? isSameKey(one, key) : tonicPitch(one) === tonicPitch(moved));
      const own = answer.result.placements
        .filter((one) => one.playable && fits(one.key))
        .map((one) => one.from - (idea?.frets ?? 0));
      places = places === undefined ? own : places.filter((place) => own.includes(place));
    }
    return [...(places ?? [])].filter((place) => place >= 0).sort((a, b) => Math.abs(a - from) - Math.abs(b - from))[0];
  }

  /** Read once. It leaves another text in the engine. */
  #asWritten(): Promise<Written> {
    return (this.#written ??= this.#read());
  }

  async #read(): Promise<Written> {
    await this.#lesson.call({ call: "replace", text: this.#text });
    const sentences = await this.#lesson.call({ call: "sentences" });
    if ("error" in sentences) return { key: "", chords: undefined, ideas: [] };
    const { lesson, ideas } = sentences.result;
    const spans = [lesson, ...ideas.flatMap(({ sentence, more }) => [sentence, more])].flat();
    const said = (key: string) => spans.find((span) => span.key === key)?.text;
    const places: { number: number; own: boolean; home: number }[] = [];
    for (const { idea } of ideas) {
      const answer = await this.#lesson.call({ call: "positions", idea });
      if ("error" in answer) continue;
      const home = answer.result.positions.find((one) => one.home)?.from;
      if (home !== undefined) places.push({ number: idea, own: answer.result.key !== "layout.from", home });
    }
    // The lesson's place is that of the ideas that set none, else the lowest.
    const base = places.find(({ own }) => !own)?.home ?? Math.min(...places.map(({ home }) => home));
    const own: IdeaWords[] = [];
    const chords = (await this.#takesOut("vamp.chords")) ? said("vamp.chords") : undefined;
    for (const { idea } of ideas) {
      const at = `idea[${idea}]`;
      const place = places.find(({ number }) => number === idea);
      own.push({
        number: idea,
        key: (await this.#takesOut(`${at}.key`)) ? said(`${at}.key`) : undefined,
        chords: (await this.#takesOut(`${at}.vamp.chords`)) ? said(`${at}.vamp.chords`) : undefined,
        tuning: await this.#takesOut(`${at}.tuning`),
        frets: place?.own === true ? place.home - base : undefined,
      });
    }
    return { key: said("key") ?? "", chords, ideas: own };
  }

  /** Whether the text had something at the key: what is not there is never refused and changes nothing. */
  async #takesOut(key: string): Promise<boolean> {
    const [before, after] = await this.#lesson.calls({ call: "text" }, { call: "unset", key });
    return "error" in after || ("result" in before && after.result.text !== before.result.text);
  }

  async #edit([key, value]: Edit): Promise<string | undefined> {
    const answer = await (value === undefined ? this.#lesson.call({ call: "unset", key }) : this.#lesson.call({ call: "edit", key, value }));
    return "error" in answer ? answer.error.message : undefined;
  }

  /** Sets one value after the other, in an order in which the lesson can be read after each, if there is one. */
  async #editAll(edits: readonly Edit[]): Promise<string | undefined> {
    let left = edits;
    let fault: string | undefined;
    while (left.length > 0) {
      const refused: Edit[] = [];
      for (const one of left) {
        const message = await this.#edit(one);
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
}
