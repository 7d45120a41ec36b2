// "In E dorian, in standard tuning, from fret 12, right-handed, with digits of the usual size": words that are the
// student's to change.

import type { EngineLesson } from "../shared/engine_client.js";
import { el, put, word } from "./dom.js";
import type { LessonView } from "./lesson_view.js";
import type { LessonWords } from "./lesson_words.js";
import type { OwnWords } from "./progress.js";

type Name = "key" | "tuning" | "from" | "hand" | "size";
interface Choice {
  readonly says: string;
  readonly own: OwnWords;
}

const sizes: readonly (readonly [number, string])[] = [[16, "digits of the usual size"], [20, "large digits"], [26, "very large digits"]];
const keyOf: Readonly<Record<"key" | "tuning" | "from", string>> = { key: "key", tuning: "tuning", from: "layout.from" };

export class OwnSentence {
  readonly element = el("div", { class: "own" });
  readonly #lesson: EngineLesson;
  readonly #original: LessonWords;
  readonly #change: (own: OwnWords) => Promise<string | undefined>;
  readonly #sentence = el("p", {});
  readonly #sheet = el("div", { class: "choices" });
  readonly #said = el("p", { role: "status" });
  #own: OwnWords = { hand: "right", size: 16 };
  #view: LessonView | undefined;
  #open: Name | undefined;

  constructor(lesson: EngineLesson, original: LessonWords, change: (own: OwnWords) => Promise<string | undefined>) {
    this.#lesson = lesson;
    this.#original = original;
    this.#change = change;
    put(this.element, this.#sentence, this.#said, this.#sheet);
  }

  show(own: OwnWords, view: LessonView): void {
    this.#own = own;
    this.#view = view;
    const button = (name: Name, text: string) => word(text, () => void this.#ask(name), { "aria-expanded": String(this.#open === name), "data-word": name });
    const changed = own.key !== undefined || own.tuning !== undefined || own.from !== undefined;
    put(
      this.#sentence,
      "In ",
      button("key", view.key),
      ", in ",
      button("tuning", own.tuning === undefined ? "the lesson’s tuning" : own.tuning.replace(/["[\]]/g, "").replaceAll(",", " ")),
      ", from ",
      button("from", own.from === undefined ? "the lesson’s fret" : `fret ${own.from}`),
      ", ",
      button("hand", own.hand === "right" ? "right-handed" : "left-handed"),
      ", with ",
      button("size", sizes.find(([size]) => size === own.size)?.[1] ?? `digits of ${own.size} pixels`),
      ".",
      ...(changed ? [" ", word("As the lesson has it", () => void this.#take({ hand: own.hand, size: own.size }))] : []),
    );
  }

  async #ask(name: Name): Promise<void> {
    this.#said.textContent = "";
    if (this.#open === name) return this.#close();
    this.#open = name;
    const choices = await this.#choices(name);
    if (this.#open !== name) return;
    const buttons = choices.map(({ says, own }) => word(says, () => void this.#take(own)));
    const typed = el("input", { type: "text", "aria-label": "Type it" });
    typed.addEventListener("keydown", (event) => {
      if (event.key === "Enter") void this.#typed(name, typed.value);
      if (event.key === "Escape") this.#close();
    });
    put(this.#sheet, ...(name === "hand" || name === "size" ? [] : [el("label", {}, "Type it: ", typed)]), ...buttons);
    this.#mark();
    // Where fingers press, a field that has the focus brings up keys that lie over the choices.
    const fingers = matchMedia("(pointer: coarse)").matches;
    ((fingers ? undefined : this.#sheet.querySelector("input")) ?? buttons[0])?.focus({ preventScroll: true });
    this.element.scrollIntoView({ block: "nearest" });
  }

  #close(): void {
    this.#open = undefined;
    put(this.#sheet);
    this.#mark();
  }
  #mark(): void {
    for (const button of this.#sentence.querySelectorAll<HTMLElement>("[data-word]"))
      button.setAttribute("aria-expanded", String(button.dataset["word"] === this.#open));
  }

  async #choices(name: Name): Promise<Choice[]> {
    if (name === "hand")
      return [{ says: "right-handed", own: { ...this.#own, hand: "right" } }, { says: "left-handed", own: { ...this.#own, hand: "left" } }];
    if (name === "size") return sizes.map(([size, says]) => ({ says, own: { ...this.#own, size } }));
    const answer = await this.#lesson.call({ call: "choices", key: keyOf[name] });
    if ("error" in answer) return [];
    return answer.result.choices.map(({ value, says }) => ({ says, own: this.#with(name, value) }));
  }

  /** A value as TOML writes it. */
  #with(name: "key" | "tuning" | "from", value: string): OwnWords {
    if (name === "key") return { ...this.#own, key: JSON.parse(value) as string };
    if (name === "from") return { ...this.#own, from: Number(value) };
    return { ...this.#own, tuning: value };
  }

  /** What was typed is read by the engine: "g dorian", "drop d", "A1 E2 A2 D3 G3 B3 E4", "fret 7". */
  async #typed(name: Name, text: string): Promise<void> {
    if (name === "hand" || name === "size" || text.trim() === "") return;
    const before = await this.#lesson.call({ call: "text" });
    const edited = await this.#lesson.call({ call: "edit", key: keyOf[name], words: text });
    if ("result" in edited) {
      const value = valueOf(edited.result.text, keyOf[name]);
      if ("result" in before) await this.#lesson.call({ call: "replace", text: before.result.text });
      if (value !== undefined) return this.#take(this.#with(name, value));
    }
    if (name === "key") return this.#take({ ...this.#own, key: text.trim() });
    const fret = /\d+/.exec(text)?.[0];
    if (name === "from" && fret !== undefined) return this.#take({ ...this.#own, from: Number(fret) });
    this.#refused("error" in edited ? edited.error.message : `“${text}” is not understood`);
  }

  async #take(own: OwnWords): Promise<void> {
    const open = this.#open;
    put(this.#said);  // what was said of the wish before
    const fault = await this.#change(own);
    // Another word may have been opened meanwhile.
    if (fault === undefined) return this.#open === open ? this.#close() : undefined;
    const near = own.tuning === this.#own.tuning ? await this.#near(own) : undefined;
    this.#refused(fault, near === undefined || near === own.from ? undefined : { ...own, from: near });
  }

  async #near(own: OwnWords): Promise<number | undefined> {
    if (this.#view === undefined) return undefined;
    const { ideas, key } = this.#view;
    return this.#original.nearest(ideas.map(({ number }) => number), own.key ?? key, own.from ?? this.#own.from ?? 0);
  }

  #refused(fault: string, nearest?: OwnWords): void {
    const offer = nearest && [word(`Play it from fret ${nearest.from}`, () => void this.#take(nearest)), ", the nearest place. "];
    put(this.#said, "That cannot be reached. ", ...(offer ?? []), el("small", {}, `Why: ${fault}.`));
    this.#said.scrollIntoView({ block: "nearest" });
  }
}

/** The value at a key in a text that the engine has just written; a table's key stands in its table or inline. */
function valueOf(text: string, key: string): string | undefined {
  const name = key.split(".").at(-1)!;
  const found = new RegExp(`^\\s*${name}\\s*=\\s*(\\[[^\\]]*\\]|"[^"]*"|[^\\s#]+)`, "m").exec(text);
  return found?.[1];
}
