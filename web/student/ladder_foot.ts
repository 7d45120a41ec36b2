// The ladder at the foot of the page: its rungs play, between them a tempo is typed or dragged.

import type { Levels } from "../shared/player.js";
import { el, press, put, word } from "./dom.js";
import type { IdeaView } from "./lesson_view.js";

export interface LadderEvents {
  onTempo(bpm: number, rung: boolean): void;
  onPart(part: keyof Levels): void;
  onClimb(): void;
  onClean(): void;
}

/** What a tempo may be, as parts of the goal. */
const least = 0.2;
const most = 1.2;

const partNames: readonly (readonly [keyof Levels, string])[] = [
  ["vamp", "vamp"],
  ["click", "click"],
  ["countIn", "count-in"],
];

export class LadderFoot {
  readonly element = el("footer", { class: "foot", "aria-label": "Tempo" });
  readonly #events: LadderEvents;
  readonly #rungs = el("div", { class: "rungs", role: "group", "aria-label": "The ladder, in beats a minute" });
  readonly #number = el("input", { id: "tempo", type: "number", inputmode: "decimal", step: "any", class: "tempo" });
  readonly #slide = el("input", { type: "range", step: 1, class: "slide", "aria-label": "Tempo, in beats a minute" });
  readonly #climb: HTMLButtonElement;
  readonly #clean: HTMLButtonElement;
  readonly #parts = new Map<keyof Levels, HTMLButtonElement>();
  #buttons: HTMLButtonElement[] = [];
  #ladder: readonly number[] = [];

  constructor(events: LadderEvents) {
    this.#events = events;
    this.#number.addEventListener("change", () => this.#typed(Number(this.#number.value)));
    this.#slide.addEventListener("input", () => this.#typed(Number(this.#slide.value)));
    this.#climb = word("climb by itself", () => events.onClimb(), { "aria-pressed": "false" });
    this.#clean = word("That was clean", () => events.onClean());
    const parts = partNames.map(([part, name]) => {
      const button = word(name, () => events.onPart(part), { "aria-pressed": "true" });
      this.#parts.set(part, button);
      return button;
    });
    const list = parts.flatMap((button, i) => (i === 0 ? [button] : [", ", button]));
    put(
      this.element,
      this.#rungs,
      el("div", { class: "between" }, this.#number, el("label", { for: "tempo" }, "beats a minute"), this.#slide, this.#clean),
      el("p", { class: "parts" }, "with ", ...list, "; ", this.#climb),
    );
  }

  show({ ladder, goal }: IdeaView): void {
    this.#ladder = ladder;
    this.#buttons = ladder.map((bpm, i) => {
      const button = el("button", { type: "button", class: "rung", click: () => this.#events.onTempo(bpm, true) }, String(bpm));
      button.style.setProperty("--step", String(ladder.length > 1 ? i / (ladder.length - 1) : 0));
      button.setAttribute("aria-label", `${bpm} beats a minute`);
      return button;
    });
    put(this.#rungs, ...this.#buttons);
    for (const input of [this.#number, this.#slide]) {
      input.min = String(Math.ceil(goal * least));
      input.max = String(Math.floor(goal * most));
    }
  }

  /** `playing` holds while it sounds; `reached` is what was played cleanly. */
  mark(bpm: number, playing: boolean, reached: number | undefined): void {
    this.#ladder.forEach((rung, i) => {
      const button = this.#buttons[i]!;
      button.classList.toggle("now", rung === bpm);
      button.classList.toggle("reached", reached !== undefined && rung <= reached);
      press(button, playing && rung === bpm);
    });
    if (document.activeElement !== this.#number) this.#number.value = String(bpm);
    this.#slide.value = String(bpm);
    this.#slide.setAttribute("aria-valuetext", `${bpm} beats a minute`);
  }

  parts(levels: Levels): void {
    for (const [part, button] of this.#parts) press(button, levels[part] > 0);
  }
  climbing(on: boolean): void {
    press(this.#climb, on);
  }

  #typed(bpm: number): void {
    if (!Number.isFinite(bpm) || bpm <= 0) return;
    const legal = Math.min(Number(this.#slide.max), Math.max(Number(this.#slide.min), bpm));
    if (legal !== bpm) this.#number.value = String(legal);
    this.#events.onTempo(legal, false);
  }
}
