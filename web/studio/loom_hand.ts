// A hand on the loom: mouse, finger and keys change the rule note by note. It lies over the drawing, outside the virtual
// DOM, and draws nothing of the loom itself: it asks the engine what the rule would be and gives that to the page.

import type { DrawnToken, LoomHands, RuleNote } from "../engine/calls.js";
import type { RequestOf, ResultOf } from "../engine/engine.js";
import { element, put, sentence, type LoomHost, type Point } from "./hand_host.js";
import { HandMarks } from "./hand_marks.js";
import { gapAt, noteAt, ownTokens, placeAt, pointOf, repeats, ruleEnd, unitsOf, type Gap, type LoomPlace } from "./loom_places.js";
import { NoteWords, type NoteWord } from "./note_words.js";

/** How long a finger rests on a note until its words show, in milliseconds. */
const HOLD = 450;
/** Two taps within this time are one. */
const TWICE = 350;
/** How far a pointer may stray from a tap, in pixels: less than from one note of a string to the next. */
const STRAY = { mouse: 4, touch: 6 };
/** How far above or below its middle a note is still held. */
const REACH = { mouse: 15, touch: 22 };
/** Let go this far outside the loom, nothing is changed. */
const OUTSIDE = 60;

const HELP =
  "Left and right choose a note. Up and down change it, a digit too; plus and minus move it to the next string. " +
  "h, p and s slur it, the exclamation mark accents it, r makes it a rest, x makes it longer and capital X shorter, " +
  "n adds a note behind it, Delete removes it. Enter plays from it.";

type Change = Omit<RequestOf<"reshape">, "call" | "idea" | "feel">;
type Reshaped = ResultOf<"reshape">;

/** What a pointer does, from press to release. */
type Grip =
  | { readonly kind: "note"; readonly token: DrawnToken; readonly start: Point; moved: boolean; hold: number }
  | { readonly kind: "gap"; readonly start: Point; gap: Gap | undefined }
  | { readonly kind: "edge"; readonly start: Point; readonly units: number };

export class LoomHand {
  readonly #surface: HTMLElement;
  readonly #host: LoomHost;
  readonly #ghost = element("span", "hand-ghost");
  readonly #edge = element("div", "hand-edge");
  readonly #marks: HandMarks;
  readonly #words = new NoteWords(() => this.#marks.focus());
  readonly #why = element("p", "hand-why");
  readonly #ends = new AbortController();

  #loom: LoomHands | undefined;
  #grip: Grip | undefined;
  /** The loom as it was when the pointer went down: what follows is drawn anew under it. */
  #held: LoomHands | undefined;
  /** What a drag has come to. */
  #tried: { readonly key: string; reply: Promise<Reshaped | null> } | undefined;
  #lastTap = { token: -1, at: -Infinity };
  /** Notes of the rule when its edge was reached by keys: they are what is repeated. */
  #own = 0;
  /** Changes wait for each other. */
  #work: Promise<void> = Promise.resolve();
  #shown: (() => void) | undefined;

  /** `surface` is an empty element that lies over the drawing, its corner on the drawing's. */
  constructor(surface: HTMLElement, host: LoomHost) {
    this.#surface = surface;
    this.#host = host;
    surface.classList.add("hand");
    this.#ghost.hidden = this.#why.hidden = true;
    this.#marks = new HandMarks({ name: `Notes of rule ${host.idea}`, help: HELP, helpId: `hand-help-${host.idea}`, press: () => this.#listen() });
    this.#edge.setAttribute("role", "slider");
    this.#edge.setAttribute("aria-label", "Length of the rule");
    this.#edge.setAttribute("aria-valuenow", "1");
    this.#edge.hidden = true;
    this.#edge.tabIndex = 0;
    const [notes, ...spoken] = this.#marks.elements;
    surface.replaceChildren(notes!, this.#edge, this.#ghost, this.#words.element, this.#why, ...spoken);
    const { signal } = this.#ends;
    const on = <K extends keyof HTMLElementEventMap>(what: K, run: (event: HTMLElementEventMap[K]) => void) =>
      surface.addEventListener(what, run, { signal });
    on("pointerdown", (event) => this.#press(event));
    on("pointermove", (event) => this.#move(event));
    on("pointerup", (event) => this.#release(event));
    on("pointercancel", () => this.#cancel());
    on("pointerleave", () => this.#grip || (this.#ghost.hidden = true));
    on("contextmenu", (event) => this.#askWords(event));
    on("keydown", (event) => this.#key(event));
    on("focusin", (event) => event.target === this.#edge && (this.#own = this.#loom?.rule.length ?? 0));
    // The page scrolls by a sweep that begins beside a note; one that begins on a note moves the note.
    surface.addEventListener(
      "touchstart",
      (event) => event.touches.length === 1 && this.#aim(event.touches[0]!, "touch") && event.cancelable && event.preventDefault(),
      { signal, passive: false },
    );
    addEventListener("pointerdown", (event) => surface.contains(event.target as Node) || this.#words.close(), { signal });
  }

  /** What was drawn: to be called after every drawing of this loom, asked for with hands. */
  show({ loom }: { readonly loom?: LoomHands }): void {
    if (loom === undefined) return;
    this.#loom = loom;
    this.#layNotes(loom);
    this.#layEdge(loom);
    this.#shown?.();
  }

  /** Behind the note that is chosen: where a new one goes. */
  get behind(): number {
    return this.#loom === undefined || this.#loom.rule.length === 0 ? 0 : this.#marks.chosen + 1;
  }

  close(): void {
    this.#cancel();
    this.#ends.abort();
    this.#surface.replaceChildren();
  }

  // --- What stands there for eyes that do not see and hands that do not point ------------------------

  #layNotes(loom: LoomHands): void {
    this.#marks.lay(ownTokens(loom).map((token) => ({ name: loom.rule[token.token]?.said ?? "", at: pointOf(loom, token) })));
  }

  #layEdge(loom: LoomHands): void {
    const end = ruleEnd(loom);
    this.#edge.hidden = end === undefined;
    if (end === undefined) return;
    const units = unitsOf(loom);
    this.#edge.setAttribute("aria-valuenow", String(units));
    this.#edge.setAttribute("aria-valuemin", "1");
    this.#edge.setAttribute("aria-valuetext", units === 1 ? "one note" : `${units} notes`);
    this.#edge.title = "Drag it to make the rule longer or shorter";
    put(this.#edge, { x: end.x, y: end.y + 34 });
  }

  /** Why something cannot be, in sight and aloud. */
  #explain(text: string, at?: Point): void {
    this.#why.textContent = sentence(text);
    this.#why.hidden = false;
    if (at !== undefined) {
      const width = this.#surface.clientWidth;
      put(this.#why, { x: Math.min(Math.max(at.x - 100, 0), Math.max(0, width - 260)), y: at.y + 26 });
    }
    this.#marks.say(sentence(text));
  }

  // --- Pointers ---------------------------------------------------------------------------------------

  #at(event: { readonly clientX: number; readonly clientY: number }): Point {
    const box = this.#surface.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  }

  /** What a pointer would take hold of: a note or the band's edge. */
  #aim(event: { readonly clientX: number; readonly clientY: number; readonly target: EventTarget | null }, by: keyof typeof REACH): DrawnToken | "edge" | undefined {
    if (this.#edge.contains(event.target as Node)) return "edge";
    return this.#loom && noteAt(this.#loom, this.#at(event), REACH[by]);
  }

  #press(event: PointerEvent): void {
    if (event.button !== 0 || !event.isPrimary || this.#loom === undefined) return;
    if (this.#words.contains(event.target)) return;
    this.#words.close();
    this.#why.hidden = true;
    const start = this.#at(event);
    const aim = this.#aim(event, event.pointerType === "mouse" ? "mouse" : "touch");
    this.#held = this.#loom;
    if (aim === "edge") {
      this.#grip = { kind: "edge", start, units: unitsOf(this.#loom) };
    } else if (aim !== undefined) {
      const hold = window.setTimeout(() => this.#showWords(aim), HOLD);
      this.#grip = { kind: "note", token: aim, start, moved: false, hold };
      this.#marks.choose(aim.token);
    } else {
      this.#grip = { kind: "gap", start, gap: gapAt(this.#loom, start) };
      this.#showGhost(this.#grip.gap);
    }
    this.#surface.setPointerCapture(event.pointerId);
    if (event.pointerType === "mouse") event.preventDefault();
  }

  #move(event: PointerEvent): void {
    const point = this.#at(event);
    const grip = this.#grip;
    if (grip === undefined) {
      if (event.pointerType === "mouse" && this.#loom && !this.#words.isOpen) this.#hover(event, point);
      return;
    }
    if (grip.kind === "gap") return this.#showGhost((grip.gap = gapAt(this.#held!, point)));
    const stray = STRAY[event.pointerType === "mouse" ? "mouse" : "touch"];
    if (grip.kind === "note" && !grip.moved) {
      if (Math.hypot(point.x - grip.start.x, point.y - grip.start.y) <= stray) return;
      grip.moved = true;
      clearTimeout(grip.hold);
      this.#words.close();
    }
    if (this.#isOutside(point)) return this.#leave();
    if (grip.kind === "edge") return this.#try({ change: "rule_length", units: this.#dragged(grip, point) }, point);
    this.#try({ change: "move", token: grip.token.token, repeat: grip.token.repeat, ...this.#target(grip.token, grip.start, point) }, point);
  }

  #release(event: PointerEvent): void {
    const grip = this.#grip;
    if (grip === undefined) return;
    const point = this.#at(event);
    const tried = this.#tried;
    this.#grip = undefined;
    this.#ghost.hidden = true;
    if (grip.kind === "note") clearTimeout(grip.hold);
    if (this.#isOutside(point)) return this.#cancel();
    if (grip.kind === "gap") return this.#add(grip.gap);
    if (tried !== undefined) return this.#keep(tried.reply);
    if (grip.kind === "note" && !grip.moved && !this.#words.isOpen) this.#tap(grip.token, event.timeStamp);
  }

  #hover(event: PointerEvent, point: Point): void {
    const aim = this.#aim(event, "mouse");
    this.#surface.classList.toggle("over-note", aim !== undefined && aim !== "edge");
    this.#showGhost(aim === undefined ? gapAt(this.#loom!, point) : undefined);
  }

  /** How long the rule is when its edge is dragged so far. */
  #dragged(grip: { readonly start: Point; readonly units: number }, point: Point): number {
    return Math.max(1, grip.units + Math.round((point.x - grip.start.x) / this.#held!.unit));
  }

  /** Where a note goes that is dragged so far: by height alone. */
  #target(token: DrawnToken, start: Point, point: Point): LoomPlace {
    return placeAt(this.#held!.rows[token.row]!.lanes, pointOf(this.#held!, token).y + point.y - start.y);
  }

  #isOutside({ x, y }: Point): boolean {
    const { clientWidth, clientHeight } = this.#surface;
    return x < -OUTSIDE || y < -OUTSIDE || x > clientWidth + OUTSIDE || y > clientHeight + OUTSIDE;
  }

  #showGhost(gap: Gap | undefined): void {
    this.#ghost.hidden = gap === undefined;
    if (gap !== undefined) put(this.#ghost, gap.at);
  }

  /** `now`: when it was, not when the page came to know of it. */
  #tap(token: DrawnToken, now: number): void {
    const twice = this.#lastTap.token === token.token && now - this.#lastTap.at < TWICE;
    this.#lastTap = twice ? { token: -1, at: -Infinity } : { token: token.token, at: now };
    this.#marks.choose(token.token);
    this.#marks.focus();
    this.#marks.say(this.#loom?.rule[token.token]?.said ?? "");
    if (twice) this.#do((rule) => ({ change: "accent", token: token.token, on: !rule.accent }));
  }

  #add(gap: Gap | undefined): void {
    if (gap === undefined) return;
    const { token, repeat, string, ordinal, rest } = gap;
    this.#do(() => ({ change: rest ? "move" : "insert", token, repeat, string, ordinal }));
  }

  /** Shows what a drag has come to, and keeps it at hand. */
  #try(change: Change, point: Point): void {
    const key = JSON.stringify(change);
    if (this.#tried?.key === key) return;
    const before = this.#tried;
    const tried = { key, reply: this.#ask(change, point) };
    this.#tried = tried;
    void tried.reply.then((reply) => {
      if (this.#tried !== tried) return;
      // What cannot be leaves what was before.
      if (reply === null) tried.reply = before?.reply ?? Promise.resolve(null);
      else void this.#host.preview(reply.text);
    });
  }

  #keep(reply: Promise<Reshaped | null>): void {
    this.#tried = undefined;
    this.#queue(async () => {
      const done = await reply;
      if (done === null) return this.#host.preview(null);
      await this.#commit(done);
    });
  }

  /** Outside the loom a drag shows the lesson as it is. */
  #leave(): void {
    if (this.#tried !== undefined) void this.#host.preview(null);
    this.#tried = undefined;
  }

  #cancel(): void {
    if (this.#grip?.kind === "note") clearTimeout(this.#grip.hold);
    const dragged = this.#tried !== undefined;
    this.#grip = this.#tried = undefined;
    this.#ghost.hidden = true;
    if (dragged) {
      void this.#host.preview(null);
      this.#marks.say("Nothing is changed.");
    }
  }

  // --- Changes ----------------------------------------------------------------------------------------

  async #ask(change: Change, at?: Point): Promise<Reshaped | null> {
    const answer = await this.#host.lesson.call({ call: "reshape", idea: this.#host.idea, feel: this.#host.feel(), ...change });
    if ("result" in answer) {
      this.#why.hidden = true;
      return answer.result;
    }
    this.#explain(answer.error.message, at);
    return null;
  }

  /** Makes a change of the note that is chosen when its turn comes. */
  #do(change: (rule: RuleNote) => Change | null): void {
    this.#queue(async () => {
      const loom = this.#loom;
      if (loom === undefined) return;
      const own = ownTokens(loom).find((token) => token.token === this.#marks.chosen);
      const wanted = change(loom.rule[this.#marks.chosen] ?? NO_NOTE);
      const reply = wanted && (await this.#ask(wanted, own && pointOf(loom, own)));
      if (reply) await this.#commit(reply);
    });
  }

  #queue(work: () => Promise<void> | void): void {
    this.#work = this.#work.then(work).catch((error: unknown) => this.#explain(error instanceof Error ? error.message : String(error)));
  }

  /** Keeps a text and waits until it is drawn. */
  async #commit(done: Reshaped): Promise<void> {
    this.#marks.choose(done.token);
    const drawn = new Promise<void>((then) => {
      this.#shown = then;
      setTimeout(then, 600);
    });
    await this.#host.commit(done.text, done.says);
    await drawn;
    this.#shown = undefined;
    this.#marks.choose(done.token);
    this.#marks.say(done.says);
    if (this.#surface.contains(document.activeElement) && document.activeElement !== this.#edge) this.#marks.focus();
  }

  #listen(): void {
    const note = this.#loom?.tokens.find(({ token, repeat }) => repeat === 1 && token >= this.#marks.chosen)?.note;
    this.#host.listen(note ?? 0);
  }

  // --- Keys -------------------------------------------------------------------------------------------

  #key(event: KeyboardEvent): void {
    if (event.key === "Escape") {
      if (this.#grip === undefined && !this.#words.isOpen) return;
      event.preventDefault();
      this.#cancel();
      this.#words.close();
      return this.#marks.focus();
    }
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    if (this.#words.contains(event.target)) return this.#words.key(event);
    if (event.key.length === 1 && !this.#host.lettersWork()) return;
    const run = event.target === this.#edge ? this.#edgeKey(event.key) : this.#noteKey(event.key, event.shiftKey);
    if (run === undefined) return;
    event.preventDefault();
    run();
  }

  #edgeKey(key: string): (() => void) | undefined {
    const by = key === "ArrowRight" || key === "ArrowUp" ? 1 : key === "ArrowLeft" || key === "ArrowDown" ? -1 : 0;
    if (by === 0) return undefined;
    return () => this.#queue(async () => {
      const loom = this.#loom!;
      this.#own = repeats(loom, this.#own) ? Math.min(this.#own, loom.rule.length) : loom.rule.length;
      const reply = await this.#ask({ change: "rule_length", units: unitsOf(loom) + by, own: this.#own });
      if (reply) await this.#commit(reply);
    });
  }

  #noteKey(key: string, shift: boolean): (() => void) | undefined {
    if (this.#loom === undefined || this.#loom.rule.length === 0) return undefined;
    const token = () => this.#marks.chosen;
    const last = this.#loom.rule.length - 1;
    const go = (to: number) => () => (this.#marks.choose(Math.min(last, Math.max(0, to))), this.#marks.focus());
    const up = (by: number) => () =>
      this.#do((rule) => (rule.ordinal === null ? this.#no("this is a rest; r makes it a note") : { change: "move", token: token(), ordinal: rule.ordinal + by }));
    const slur = (way: "by_pitch" | "slide") => () =>
      this.#do((rule) => {
        const is = way === "slide" ? rule.slur === "slide" : rule.slur === "hammer" || rule.slur === "pull";
        return { change: "slur", token: token(), slur: is ? "none" : way };
      });
    const alter = (by: number) => () => this.#do((rule) => ({ change: "move", token: token(), alter: rule.alter === by ? 0 : by }));
    const longer = (by: number) => () => this.#do((rule) => ({ change: "length", token: token(), units: rule.units + by }));
    switch (key) {
      case "ArrowLeft": return go(this.#marks.chosen - 1);
      case "ArrowRight": return go(this.#marks.chosen + 1);
      case "Home": return go(0);
      case "End": return go(last);
      case "ArrowUp": return up(1);
      case "ArrowDown": return up(-1);
      case "+": case "=": return () => this.#do(() => ({ change: "move", token: token(), thinner: 1 }));
      case "-": return () => this.#do(() => ({ change: "move", token: token(), thinner: -1 }));
      case "h": case "p": return slur("by_pitch");
      case "s": return slur("slide");
      case "!": return () => this.#do((rule) => ({ change: "accent", token: token(), on: !rule.accent }));
      case "r": return () => this.#do((rule) => ({ change: "rest", token: token(), on: !rule.rest }));
      case "#": return alter(1);
      case "b": return alter(-1);
      case "x": return longer(1);
      case "X": return longer(-1);
      case "n": case "Insert": return () => this.#insertBehind();
      case "Delete": case "Backspace": return () => this.#do(() => ({ change: "remove", token: token() }));
      case "Enter": return () => this.#listen();
      case "ContextMenu": return () => this.#wordsOfChosen();
      case "F10": return shift ? () => this.#wordsOfChosen() : undefined;
      default: return /^[1-9]$/.test(key) ? () => this.#do(() => ({ change: "move", token: token(), ordinal: Number(key) })) : undefined;
    }
  }

  #no(text: string): null {
    this.#explain(text);
    return null;
  }

  /** Another note behind the chosen one, at the same place; arrows move it from there. */
  #insertBehind(): void {
    this.#do(() => {
      const own = ownTokens(this.#loom!);
      const from = [...own.slice(0, this.#marks.chosen + 1)].reverse().find(({ note }) => note !== null) ?? own.find(({ note }) => note !== null)!;
      return { change: "insert", token: this.#marks.chosen + 1, string: from.string!, ordinal: from.ordinal! };
    });
  }

  // --- Words under a note -----------------------------------------------------------------------------

  #askWords(event: MouseEvent): void {
    const aim = this.#aim(event, "mouse");
    if (aim === undefined || aim === "edge") return;
    event.preventDefault();
    if (this.#grip?.kind === "note") clearTimeout(this.#grip.hold);
    if (!this.#words.isOpen) this.#showWords(aim);
  }

  #wordsOfChosen(): void {
    const token = ownTokens(this.#loom!).find((one) => one.token === this.#marks.chosen);
    if (token === undefined) return;
    this.#showWords(token);
    this.#words.focus();
  }

  #showWords(token: DrawnToken): void {
    const rule = this.#loom?.rule[token.token];
    if (rule === undefined) return;
    this.#marks.choose(token.token);
    const at = token.token;
    const words: NoteWord[] = [{ text: "hear it from here", run: () => this.#listen() }];
    const word = (text: string, change: Change) => words.push({ text, run: () => this.#do(() => change) });
    if (!rule.rest) {
      word(rule.accent ? "no accent" : "accent", { change: "accent", token: at, on: !rule.accent });
      if (rule.slur === "none" && at > 0) {
        word("slur", { change: "slur", token: at, slur: "by_pitch" });
        word("slide", { change: "slur", token: at, slur: "slide" });
      } else if (rule.slur !== "none") {
        word("pick it", { change: "slur", token: at, slur: "none" });
      }
    }
    word(rule.rest ? "a note" : "rest", { change: "rest", token: at, on: !rule.rest });
    word("longer", { change: "length", token: at, units: rule.units + 1 });
    if (rule.units > 1) word("shorter", { change: "length", token: at, units: rule.units - 1 });
    word("remove", { change: "remove", token: at });
    this.#words.open(rule.said, words, pointOf(this.#loom!, token), this.#surface.clientWidth);
    this.#marks.say(rule.said);
  }
}

/** Stands for the note that an empty rule has not. */
const NO_NOTE: RuleNote = { rest: true, ordinal: null, alter: 0, slur: "none", accent: false, units: 1, said: "" };
