// The page of one lesson: a rule that is read, seen and heard, at any tempo.

import type { LivingDrawing } from "../engine/calls.js";
import { DrawingView } from "../shared/drawing.js";
import type { EngineClient, EngineLesson } from "../shared/engine_client.js";
import { Player, quietLevels, type Levels, type PlayOptions, type Span } from "../shared/player.js";
import { blankSpans, drawBlanks } from "./blanks.js";
import { el, press, put, word } from "./dom.js";
import { embeddedKit, licences } from "./embedded.js";
import { KeepAwake } from "./keep_awake.js";
import { LadderFoot } from "./ladder_foot.js";
import type { LessonWords } from "./lesson_words.js";
import { viewOf, type IdeaView, type LessonView } from "./lesson_view.js";
import { OwnSentence } from "./own_sentence.js";
import { PageTurner } from "./page_turner.js";
import { lessonsOwn, reachedAt, today, withDay, withReached, type OwnWords, type ProgressStore } from "./progress.js";
import { ProgressPart } from "./progress_part.js";
import { Sitting, type Block } from "./sitting.js";

/** Show everything; loom without numbers and no sheet; every other repetition is the student's. */
type Mode = "all" | "hidden" | "answer";
const modes: readonly (readonly [Mode, string])[] = [
  ["all", "Show everything"],
  ["hidden", "Hide the notes"],
  ["answer", "I play the next one"],
];

/** A4 or Letter within the usual margins, in pixels. */
const paperWidth = 680;

/** Turns of a loop at each rung of a ladder that climbs by itself. */
const turnsARung = 2;

export class PracticePage {
  readonly element: HTMLElement;
  readonly player: Player;
  /** The lesson as the student has it. */
  readonly lesson: EngineLesson;
  readonly #original: LessonWords;
  readonly #store: ProgressStore;
  readonly #title = el("h1", { tabindex: -1 });
  readonly #by = el("p", { class: "by" });
  readonly #ideas = el("nav", { "aria-label": "The other ideas" });
  readonly #feels = el("p", { class: "feels" });
  readonly #rule = el("p", { class: "rule" });
  readonly #note = el("p", { class: "note" });
  readonly #play = el("button", { type: "button", class: "play", click: () => this.toggle() }, "Play");
  readonly #ruleLine = el("div", { class: "rule-line" }, this.#rule, this.#play);
  readonly #said = el("p", { class: "said-now", role: "status" });
  readonly #loomHost = el("div", { class: "loom" });
  readonly #sheetHost = el("div", { class: "sheet" });
  readonly #neckHost = el("div", { class: "neck" });
  readonly loom: DrawingView;
  readonly #sheet: DrawingView;
  readonly #neck: DrawingView;
  readonly #loopWords = el("p", { class: "loop-words" });
  readonly #modes = new Map<Mode, HTMLButtonElement>();
  readonly #proof = el("blockquote", {});
  readonly #more = el("div", {});
  readonly #spoken = el("div", {});
  readonly #cautions = el("ul", {});
  readonly #foot: LadderFoot;
  readonly #sitting: Sitting;
  readonly #own: OwnSentence;
  readonly #progress: ProgressPart;
  readonly #light = new KeepAwake();
  readonly #turner: PageTurner;

  #view: LessonView;
  #idea: IdeaView;
  #feel = 0;
  #bpm = 60;
  #mode: Mode = "all";
  #climbing = false;
  #span: Span | undefined;
  /** The first press of two. */
  #from: number | undefined;
  /** Words that are off keep their level for when they are on again. */
  #levels: Levels;
  #off = new Set<keyof Levels>();
  /** What follows where something ends by itself. */
  #again: (() => void) | undefined;
  #drawn = 0;

  constructor(client: EngineClient, audio: AudioContext, lesson: EngineLesson, original: LessonWords, view: LessonView, store: ProgressStore) {
    this.lesson = lesson;
    this.#original = original;
    this.#store = store;
    this.#view = view;
    this.#idea = view.ideas[0]!;
    this.#levels = store.value.levels;
    this.player = new Player(client, audio);
    void embeddedKit().then((kit) => (this.player.kit = kit));
    this.player.levels = this.#levels;
    this.player.onNote = (note) => this.#ring(note);
    this.player.onTempo = (bpm) => this.#heard(bpm);
    this.player.onEnd = (fault) => {
      this.#ended(fault);
      if (fault === undefined) this.#again?.();
    };
    this.loom = new DrawingView(this.#loomHost, { name: "The loom, note by note", onNote: (note) => this.#pressed(note) });
    this.#sheet = new DrawingView(this.#sheetHost, { name: "The sheet, note by note", mark: "bar", onNote: (note) => this.#pressed(note) });
    this.#neck = new DrawingView(this.#neckHost, { name: "The neck, place by place" });
    this.#foot = new LadderFoot({
      onTempo: (bpm, rung) => this.tempo(bpm, rung),
      onPart: (part) => this.#part(part),
      onClimb: () => this.#climb(),
      onClean: () => this.#clean(),
    });
    this.#sitting = new Sitting({
      onBlock: (block) => this.#block(block),
      onWorked: (block) => this.#worked(block),
      onEnd: () => this.stop(),
    });
    this.#own = new OwnSentence(lesson, original, (own) => this.change(own));
    this.#progress = new ProgressPart(store, () => this.#taken());
    this.element = this.#build();
    this.#foot.element.prepend(this.#sitting.clock);
    this.#turner = new PageTurner([this.loom, this.#sheet], this.#ruleLine, this.#foot.element);
    document.addEventListener("keydown", (event) => this.#key(event));
    let width = 0;
    new ResizeObserver(() => {
      if (this.#loomHost.clientWidth === width) return;
      width = this.#loomHost.clientWidth;
      void this.#draw();
    }).observe(this.#loomHost);
  }

  #build(): HTMLElement {
    const modeWords = modes.map(([mode, name]) => {
      const button = word(name, () => this.mode(mode), { "aria-pressed": String(mode === "all") });
      this.#modes.set(mode, button);
      return button;
    });
    const folded = (title: string, ...inside: (Node | string)[]) => el("details", {}, el("summary", {}, title), ...inside);
    return el(
      "div",
      { class: "page" },
      el(
        "main",
        {},
        this.#title,
        this.#by,
        this.#ideas,
        this.#feels,
        this.#ruleLine,
        this.#said,
        this.#loomHost,
        this.#loopWords,
        el("p", { class: "modes", role: "group", "aria-label": "What is shown" }, ...modeWords),
        this.#sheetHost,
        this.#proof,
        this.#note,
        folded("The neck", this.#neckHost),
        this.#sitting.element,
        folded("The strokes and the beat", this.#more),
        folded("The tab in words", this.#spoken),
        folded("Your guitar", this.#own.element),
        folded("How loud", this.#volumes()),
        this.#progress.element,
        folded("Mind your hands and ears", this.#cautions),
        folded("Whose work this page holds", el("pre", {}, licences())),
        el("p", {}, word("Print this", () => void this.#print())),
      ),
      this.#foot.element,
    );
  }

  #volumes(): HTMLElement {
    const names: readonly (readonly [keyof Levels, string])[] = [["lick", "Lick"], ["vamp", "Vamp"], ["click", "Click"], ["countIn", "Count-in"]];
    return el(
      "div",
      { class: "volumes" },
      ...names.map(([part, name]) => {
        const slide = el("input", { type: "range", min: 0, max: 1, step: 0.01, value: this.#levels[part] });
        slide.addEventListener("input", () => this.#level(part, Number(slide.value)));
        return el("label", {}, `${name} `, slide);
      }),
      el("p", {}, "It starts quiet. Turn it up no further than you need."),
    );
  }

  /** Shows what the lesson is now. */
  async show(): Promise<void> {
    const { title, author, ideas } = this.#view;
    this.#by.textContent = [title, author].filter((part) => part !== "").join(" · ");
    document.title = title === "" ? this.#idea.name : `${this.#idea.name} · ${title}`;
    this.#title.textContent = this.#idea.name;
    const others = ideas.filter((idea) => idea !== this.#idea).map((idea) => word(idea.name, () => void this.choose(idea.number)));
    const chosen = this.#ideas.contains(document.activeElement);
    put(this.#ideas, ...others);
    if (chosen) this.#title.focus({ preventScroll: true });
    this.#showFeels();
    this.#rule.textContent = sentenceCase(this.#idea.rule);
    this.#note.textContent = this.#idea.note;
    this.#proof.textContent = this.#idea.proof;
    this.#proof.classList.toggle("blocked", this.#idea.blocked > 0);
    put(this.#more, ...[this.#idea.shape, this.#idea.strokes, this.#idea.beats].filter((text) => text !== "").map((text) => el("p", {}, text)));
    put(this.#cautions, ...this.#view.cautions.map((text) => el("li", {}, text)));
    this.#foot.show(this.#idea);
    this.#foot.parts(this.player.levels);
    this.#marks();
    this.#looped();
    this.#own.show(this.#store.value.own, this.#view);
    this.#progress.show(this.#view);
    const reached = Math.max(...this.#idea.feels.map((notes) => reachedAt(this.#store.value, this.#idea.number, notes) ?? this.#idea.slow));
    await Promise.all([this.#draw(), this.#sitting.show(this.lesson, ideas, reached)]);
  }

  /** As words to press, where there are several. */
  #showFeels(): void {
    const names = this.#idea.feels.map((notes) => (notes === 1 ? "1 note a beat" : `${notes} notes a beat`));
    const words = names.map((name, i) => word(name, () => void this.choose(this.#idea.number, i), { "aria-pressed": String(i === this.#feel) }));
    const chosen = this.#feels.contains(document.activeElement);
    if (words.length === 1) put(this.#feels, names[0]!);
    else put(this.#feels, ...words.flatMap((one, i) => (i === 0 ? [one] : [", ", one])));
    if (chosen) words[this.#feel]?.focus({ preventScroll: true });
  }

  async choose(number: number, feel = 0): Promise<void> {
    const sounds = this.player.playing;
    this.stop();
    const idea = this.#view.ideas.find((one) => one.number === number);
    if (idea === undefined) return;
    const same = idea.number === this.#idea.number;
    this.#idea = idea;
    this.#feel = Math.min(feel, idea.feels.length - 1);
    this.#span = this.#from = undefined;
    if (!same) this.#bpm = this.#first();
    await this.show();
    if (sounds) this.play();
  }

  /** Where practice goes on: what was reached, else the slow tempo. */
  #first(): number {
    const reached = reachedAt(this.#store.value, this.#idea.number, this.#idea.feels[this.#feel]!);
    return reached ?? this.#idea.slow;
  }

  // Drawings

  async #draw(width = Math.max(240, Math.min(900, this.#loomHost.clientWidth || 358))): Promise<void> {
    const turn = ++this.#drawn;
    const { size, hand } = this.#store.value.own;
    const at = { idea: this.#idea.number, feel: this.#feel + 1, width, digits: size, style: "living" } as const;
    const [loom, sheet, neck] = await this.lesson.calls({ call: "loom", ...at }, { call: "sheet", ...at, margin: 4 }, { call: "neck", ...at, hand });
    if (turn !== this.#drawn) return;
    if ("result" in loom) this.loom.show(loom.result as LivingDrawing);
    if ("result" in sheet) this.#sheet.show(sheet.result as LivingDrawing);
    if ("result" in neck) this.#neck.show(neck.result as LivingDrawing);
    this.#blanks();
    this.#spokenNotes(sheet);
  }

  /** A sheet of paper is wider than a phone. */
  async #print(): Promise<void> {
    await this.#draw(paperWidth);
    window.addEventListener("afterprint", () => void this.#draw(), { once: true });
    window.print();
  }

  #blanks(): void {
    const spans = this.#mode === "answer" ? blankSpans(this.#idea.repeats) : [];
    drawBlanks(this.#loomHost, this.loom.drawing, spans);
    drawBlanks(this.#sheetHost, this.#sheet.drawing, spans);
    this.element.dataset["mode"] = this.#mode;
  }

  #spokenNotes(sheet: { readonly result: { readonly notes: readonly { readonly said: string }[] } } | object): void {
    const notes = "result" in sheet ? (sheet as { result: { notes: readonly { said: string }[] } }).result.notes : [];
    put(this.#spoken, el("p", {}, this.#idea.spoken), el("ol", {}, ...[...new Set(notes.map(({ said }) => said))].map((said) => el("li", {}, said))));
  }

  #ring(note: number | undefined): void {
    const target = note === undefined ? undefined : { note };
    this.loom.ring(target);
    this.#sheet.ring(target);
    this.#neck.ring(note === undefined ? undefined : this.#idea.places[this.#feel]?.[note]);
    if (note !== undefined) this.#turner.follow(note);
    this.element.dataset["note"] = note === undefined ? "" : String(note);
  }

  // Sound

  toggle(): void {
    if (this.player.playing) {
      this.#sitting.end();
      this.stop();
    } else {
      this.play();
      this.#turner.settle();
    }
  }

  play(more: Partial<PlayOptions> = {}): void {
    const options: PlayOptions = {
      lesson: this.lesson,
      idea: this.#idea.number,
      feel: this.#feel + 1,
      bpm: this.#bpm,
      loop: true,
      countIn: this.player.levels.countIn > 0 ? 1 : 0,
      ...(this.#span === undefined ? {} : { span: this.#span }),
      ...(this.#mode === "answer" ? { silent: blankSpans(this.#idea.repeats) } : {}),
      ...(this.#climbing ? { ladder: { rungs: this.#idea.ladder, turns: turnsARung } } : {}),
      ...more,
    };
    this.#play.textContent = "Stop";
    this.#said.textContent = "";
    this.#turner.begin();
    void this.player.play(options);
    this.#light.want(this.player.playing);
    this.#marks();
  }

  stop(): void {
    this.#again = undefined;
    this.player.stop();
    this.#ended();
  }

  #ended(fault?: string): void {
    this.#play.textContent = "Play";
    if (fault !== undefined) this.#said.textContent = `This cannot be played: ${fault}.`;
    this.#light.want(this.player.playing);
    this.#marks();
  }

  #heard(bpm: number): void {
    this.#bpm = bpm;
    this.#marks();
  }

  /** A rung that sounds is pressed to stop it. */
  tempo(bpm: number, rung: boolean): void {
    const same = bpm === this.#bpm && this.player.playing;
    this.#bpm = bpm;
    if (rung && same) this.toggle();
    else if (this.player.playing) this.player.setTempo(bpm);
    else if (rung) this.toggle();
    this.#marks();
  }

  #climb(): void {
    this.#climbing = !this.#climbing;
    this.#foot.climbing(this.#climbing);
    this.#said.textContent = this.#climbing ? `Two turns at each rung, from ${this.#bpm} up to ${this.#idea.goal}.` : "";
    if (this.player.playing) this.play();
  }

  #part(part: keyof Levels): void {
    if (this.#off.has(part)) this.#off.delete(part);
    else if (this.#levels[part] > 0) this.#off.add(part);
    else this.#levels = { ...this.#levels, [part]: quietLevels[part] };
    this.#leveled();
  }
  #level(part: keyof Levels, level: number): void {
    this.#off.delete(part);
    this.#levels = { ...this.#levels, [part]: level };
    this.#store.keep({ ...this.#store.value, levels: this.#levels });
    this.#leveled();
  }
  #leveled(): void {
    const heard = { ...this.#levels };
    for (const part of this.#off) heard[part] = 0;
    this.player.levels = heard;
    this.#foot.parts(heard);
  }

  #marks(): void {
    const notes = this.#idea.feels[this.#feel]!;
    this.#foot.mark(this.#bpm, this.player.playing, reachedAt(this.#store.value, this.#idea.number, notes));
  }

  // Loops by two presses

  #pressed(note: number): void {
    if (this.#from === undefined) {
      this.#from = note;
      this.#span = undefined;
    } else if (this.#from === note) {
      this.#from = undefined;
      this.play({ from: note });
    } else {
      this.#span = { first: Math.min(this.#from, note), last: Math.max(this.#from, note) };
      this.#from = undefined;
      this.play();
    }
    this.#looped();
  }

  #looped(): void {
    const all = word("play all of it", () => {
      const sounds = this.player.playing;
      this.#span = this.#from = undefined;
      this.#looped();
      if (sounds) this.play();
    });
    const name = (note: number) => `note ${note + 1}`;
    if (this.#from !== undefined) put(this.#loopWords, `From ${name(this.#from)} on. Press the last note of a loop, or the same note to play from here; or `, all, ".");
    else if (this.#span !== undefined) put(this.#loopWords, `${name(this.#span.first)} to ${name(this.#span.last)}, round and round; or `.replace("n", "N"), all, ".");
    else put(this.#loopWords, "Press two notes to loop what lies between them.");
  }

  // Ways to see

  mode(mode: Mode): void {
    this.#mode = mode;
    for (const [one, button] of this.#modes) press(button, one === mode);
    this.#blanks();
    if (this.player.playing) this.play();
  }

  // Practice

  #clean(): void {
    const notesPerBeat = this.#idea.feels[this.#feel]!;
    const before = reachedAt(this.#store.value, this.#idea.number, notesPerBeat);
    this.#store.keep(withDay(withReached(this.#store.value, { idea: this.#idea.number, notesPerBeat, bpm: this.#bpm, day: today() }), today()));
    const next = this.#idea.ladder.find((rung) => rung > this.#bpm);
    this.#said.textContent =
      before !== undefined && before > this.#bpm
        ? `Good. Your mark stays at ${before}.`
        : next === undefined
          ? `Kept: ${this.#bpm}. That is the goal.`
          : `Kept: ${this.#bpm}. The next rung is ${next}.`;
    this.#marks();
    this.#progress.show(this.#view);
  }

  #block(block: Block): void {
    this.stop();
    if (block.kind === "rest" || block.idea === undefined) return;
    const idea = this.#view.ideas.find(({ number }) => number === block.idea);
    if (idea === undefined) return;
    this.#idea = idea;
    this.#feel = (block.feel ?? 1) - 1;
    this.#bpm = block.bpm ?? idea.slow;
    this.#span = this.#from = undefined;
    this.mode(block.kind === "mixed" ? "hidden" : "all");
    void this.show();
    this.#turner.toTop();
    if (block.kind === "burst") this.#burst(block);
    else this.play();
  }

  /** One time through, then as long a pause, until its minutes are over. */
  #burst(block: Block): void {
    const began = Date.now();
    this.#again = () => {
      const pause = Date.now() - began;
      setTimeout(() => {
        if (this.#sitting.current === block && !this.player.playing) this.#burst(block);
      }, pause);
    };
    this.play({ loop: false });
  }

  #worked(_block: Block): void {
    this.#store.keep(withDay(this.#store.value, today()));
    this.#progress.show(this.#view);
  }

  #taken(): void {
    this.#levels = this.#store.value.levels;
    this.#leveled();
    void this.show();
  }

  // The student's own words

  /** Other words of the student's. What could not be is said, and all stays as it was. */
  async change(own: OwnWords): Promise<string | undefined> {
    const sounds = this.player.playing;
    const fault = await this.#original.apply(own);
    if (fault !== undefined) return fault;
    const view = await viewOf(this.lesson);
    if (typeof view === "string") {
      await this.#original.apply(this.#store.value.own);
      return view;
    }
    this.stop();
    this.#store.keep({ ...this.#store.value, own });
    this.#take(view);
    await this.show();
    if (sounds) this.play();
    return undefined;
  }

  #take(view: LessonView): void {
    this.#view = view;
    this.#idea = view.ideas.find(({ number }) => number === this.#idea.number) ?? view.ideas[0]!;
    this.#feel = Math.min(this.#feel, this.#idea.feels.length - 1);
    this.#span = this.#from = undefined;
  }

  /** What the student had the last time. */
  async restore(): Promise<void> {
    const { own } = this.#store.value;
    const changed = own.key !== undefined || own.tuning !== undefined || own.from !== undefined;
    if (changed) {
      const fault = await this.#original.apply(own);
      const view = fault ?? (await viewOf(this.lesson));
      if (typeof view === "string") {
        await this.#original.apply(lessonsOwn);
        this.#said.textContent = `The lesson has changed, and your own words no longer fit it: ${view}. It is shown as it is.`;
      } else this.#take(view);
    }
    this.#bpm = this.#first();
    if (this.#store.damaged) this.#said.textContent = "What was kept of your practice on this device was damaged. It lies aside, and a new record has begun.";
    await this.show();
  }

  #key(event: KeyboardEvent): void {
    if (event.key !== " " || event.ctrlKey || event.metaKey || event.altKey) return;
    const at = event.target as HTMLElement;
    if (at.closest("button, input, select, summary, textarea, [role=option], a") !== null) return;
    event.preventDefault();
    this.toggle();
  }
}

const sentenceCase = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
