// The lesson that is open: its text, what the engine reads out of it, and the way back through its changes. Nothing
// else of the page keeps a value of the lesson.

import { batch, computed, signal, type Signal } from "@preact/signals";
import type { Answer, CallName, RequestOf, ResultOf } from "../engine/engine.js";
import type { EngineError, Finding, IdeaSentences, Sentence, Summary } from "../engine/calls.js";
import type { EngineClient, EngineLesson } from "../shared/engine_client.js";
import { Drawings } from "./drawings.js";

export interface Sentences {
  readonly title: string;
  readonly author: string;
  readonly intro: string;
  readonly lesson: Sentence;
  readonly more: Sentence;
  readonly ideas: readonly IdeaSentences[];
  readonly cautions: string;
}

/** What the engine says of a text. */
export interface Reading {
  readonly text: string;
  readonly summary: Summary;
  /** null: the text is no lesson at all. */
  readonly sentences: Sentences | null;
  readonly findings: readonly Finding[];
  /** What the repair of each finding does; null where it has none. */
  readonly mends: readonly (string | null)[];
}

/** An idea as the page shows it. One in error keeps what was last said of it. */
export interface ShownIdea {
  readonly number: number;
  readonly name: string;
  /** As the file has it; null where none stands there. */
  readonly rule: { readonly key: string; readonly text: string } | null;
  readonly sound: boolean;
  readonly words: IdeaSentences | null;
}

/** A change of the text. */
export type Edit =
  | RequestOf<"edit">
  | RequestOf<"unset">
  | RequestOf<"repair">
  | RequestOf<"replace">
  | RequestOf<"add_idea">
  | RequestOf<"move_idea">
  | RequestOf<"remove_idea">;

/** What is typed in one line without a longer pause than this is one step back. */
const ONE_STEP = 1200;

const nothing: Summary = { readable: false, read_only: false, errors: 0, warnings: 0, ideas: [] };

function resultOf<N extends CallName>(answer: Answer<N>): Answer<N> extends { result: infer R } ? R | null : never {
  return ("result" in answer ? answer.result : null) as never;
}

/** Text and summary after an edit: `replace` tells the summary alone, of the text that it was given. */
function changeOf(edit: Edit, result: ResultOf<"edit"> | ResultOf<"replace">): { text: string; summary: Summary } {
  return "summary" in result ? result : { text: (edit as RequestOf<"replace">).text, summary: result };
}

function toReading({ text, summary }: { text: string; summary: Summary }, sentences: Answer<"sentences">, findings: Answer<"findings">, mends: Answer<"mends">): Reading {
  return {
    text,
    summary,
    sentences: resultOf(sentences) as Sentences | null,
    findings: (resultOf(findings) as { findings: Finding[] } | null)?.findings ?? [],
    mends: (resultOf(mends) as ResultOf<"mends"> | null)?.mends ?? [],
  };
}

export class LessonDocument {
  readonly #lesson: EngineLesson;
  readonly #trial: EngineLesson;

  /** The lesson as it is kept, and as a choice that is only looked at would make it. */
  readonly kept = signal<Reading>({ text: "", summary: nothing, sentences: null, findings: [], mends: [] });
  readonly tried = signal<Reading | null>(null);
  readonly shown = computed(() => this.tried.value ?? this.kept.value);

  readonly #undo = signal<readonly string[]>([]);
  readonly #redo = signal<readonly string[]>([]);
  readonly canUndo = computed(() => this.#undo.value.length > 0);
  readonly canRedo = computed(() => this.#redo.value.length > 0);
  #step = { what: "", at: 0 };

  /** Of each idea by number: which of its feels is shown, from 0. */
  readonly feels = signal<ReadonlyMap<number, number>>(new Map());
  readonly drawings: Drawings;

  #last = new Map<number, IdeaSentences>();
  /** Ideas with what was last said of them. */
  readonly ideas = computed<readonly ShownIdea[]>(() => {
    const { summary, sentences } = this.shown.value;
    const said = new Map(sentences?.ideas.map((idea) => [idea.idea, idea]));
    return summary.ideas.map(({ idea, name, rule, sound }) => {
      const words = said.get(idea) ?? this.#last.get(idea) ?? null;
      return { number: idea, name, rule, sound: sound && said.has(idea), words };
    });
  });

  /** Called after every change of the text, with the new one. */
  onChange: (text: string) => void = () => {};

  constructor(engine: EngineClient, text: string) {
    this.#lesson = engine.open(text);
    this.#trial = engine.open(text);
    this.drawings = new Drawings(this);
  }

  /** Reads the text for the first time. */
  async read(text: string): Promise<void> {
    await this.#apply({ call: "replace", text });
  }

  /** The lesson whose drawings are shown. */
  get engine(): EngineLesson {
    return this.tried.peek() ? this.#trial : this.#lesson;
  }

  /** The lesson as it is kept. */
  get lesson(): EngineLesson {
    return this.#lesson;
  }

  close(): void {
    this.#lesson.close();
    this.#trial.close();
  }

  /**
   * Changes the text. Returns why not, where the engine refuses; the text is then as it was.
   * `what` names the line in which it is typed, if it is.
   */
  async edit(edit: Edit, what = ""): Promise<EngineError | null> {
    const before = this.kept.peek().text;
    const fault = await this.#apply(edit);
    if (fault !== null || this.kept.peek().text === before) return fault;
    this.#remember(before, what);
    this.onChange(this.kept.peek().text);
    return null;
  }

  /** What the lesson would be; null shows it again as it is. Returns why not. */
  async try(edit: Edit | null): Promise<EngineError | null> {
    if (edit === null) {
      this.tried.value = null;
      this.drawings.refresh();
      return null;
    }
    const turn = ++this.#turn;
    const { text } = this.kept.peek();
    const [, changed, sentences, findings, mends] = await this.#trial.calls(
      { call: "replace", text },
      edit as RequestOf<"edit">,
      { call: "sentences" },
      { call: "findings" },
      { call: "mends" },
    );
    if (turn !== this.#turn) return null;
    if ("error" in changed) return changed.error;
    this.tried.value = toReading(changeOf(edit, changed.result), sentences, findings, mends);
    this.drawings.refresh();
    return null;
  }
  #turn = 0;

  /** Another text as a whole: from outside. The old one can be had back. */
  async replace(text: string): Promise<void> {
    await this.edit({ call: "replace", text });
  }

  async undo(): Promise<void> {
    await this.#travel(this.#undo, this.#redo);
  }

  async redo(): Promise<void> {
    await this.#travel(this.#redo, this.#undo);
  }

  feelOf(idea: number): number {
    const count = this.shown.value.summary.ideas.find((one) => one.idea === idea)?.feels.length ?? 1;
    return Math.min(this.feels.value.get(idea) ?? 0, Math.max(0, count - 1));
  }

  showFeel(idea: number, feel: number): void {
    this.feels.value = new Map(this.feels.value).set(idea, feel);
    this.drawings.refresh();
  }

  async #apply(edit: Edit): Promise<EngineError | null> {
    ++this.#turn;
    const idea = "key" in edit ? Number(/^idea\[(\d+)\]/.exec(edit.key)?.[1] ?? 0) : 0;
    const along = this.drawings.requestsFor(idea);
    const [changed, sentences, findings, mends, ...drawn] = (await this.#lesson.calls(
      edit as RequestOf<"edit">,
      { call: "sentences" },
      { call: "findings" },
      { call: "mends" },
      ...(along as never[]),
    )) as unknown as [Answer<"edit"> | Answer<"replace">, Answer<"sentences">, Answer<"findings">, Answer<"mends">, ...Answer<"loom">[]];
    if ("error" in changed) return changed.error;
    batch(() => {
      this.tried.value = null;
      this.kept.value = toReading(changeOf(edit, changed.result), sentences, findings, mends);
      for (const said of this.kept.value.sentences?.ideas ?? []) this.#last.set(said.idea, said);
    });
    this.drawings.take(idea, along, drawn);
    this.drawings.refresh(idea);
    return null;
  }

  #remember(before: string, what: string): void {
    const now = performance.now();
    const goesOn = what !== "" && what === this.#step.what && now - this.#step.at < ONE_STEP;
    this.#step = { what, at: now };
    batch(() => {
      if (!goesOn) this.#undo.value = [...this.#undo.value, before];
      this.#redo.value = [];
    });
  }

  async #travel(from: Signal<readonly string[]>, to: Signal<readonly string[]>): Promise<void> {
    const text = from.peek().at(-1);
    if (text === undefined) return;
    const now = this.kept.peek().text;
    batch(() => {
      from.value = from.peek().slice(0, -1);
      to.value = [...to.peek(), now];
    });
    this.#step = { what: "", at: 0 };
    await this.#apply({ call: "replace", text });
    this.onChange(text);
  }
}
