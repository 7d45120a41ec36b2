// Today's sitting: blocks of work and rests in turn, each for its minutes.

import type { EngineLesson } from "../shared/engine_client.js";
import { el, put, word } from "./dom.js";
import type { IdeaView, PracticeWords } from "./lesson_view.js";

export type Block = PracticeWords["today"][number];

export interface SittingEvents {
  /** A block begins: play it, or be silent in a rest. */
  onBlock(block: Block): void;
  /** A block of work has been worked through. */
  onWorked(block: Block): void;
  /** It has ended, or was ended. */
  onEnd(): void;
}

function said(block: Block, ideas: readonly IdeaView[]): string {
  if (block.kind === "rest") return "Rest: hands off.";
  const idea = ideas.find(({ number }) => number === block.idea);
  const feel = idea?.feels[(block.feel ?? 1) - 1] ?? 0;
  const what = `${idea?.name ?? ""}, ${feel} notes a beat, ${block.bpm} beats a minute`;
  if (block.kind === "burst") return `${what}: play it once, then rest for as long.`;
  return block.kind === "mixed" ? `${what}: from memory.` : `${what}: again and again.`;
}

const minutes = (n: number): string => (n === 1 ? "1 minute" : `${n} minutes`);

export class Sitting {
  readonly element = el("section", { class: "sitting", "aria-labelledby": "sitting-title" });
  readonly #events: SittingEvents;
  /** How long this block still lasts, and what comes then. It stands where it is seen while the student plays. */
  readonly clock = el("p", { class: "clock", role: "timer", hidden: true });
  readonly #said = el("p", { class: "sitting-said", role: "status" });
  readonly #list = el("ol", {});
  readonly #length = el("select", { id: "minutes" }, ...[5, 10, 20, 30, 45].map((n) => el("option", { value: n, ...(n === 10 ? { selected: true } : {}) }, minutes(n))));
  readonly #begin: HTMLButtonElement;
  #blocks: readonly Block[] = [];
  #at = -1;
  #ends = 0;
  #tick: ReturnType<typeof setInterval> | undefined;
  #source: { readonly lesson: EngineLesson; readonly ideas: readonly IdeaView[]; readonly present: number } | undefined;

  constructor(events: SittingEvents) {
    this.#events = events;
    this.#begin = word("Begin", () => (this.running ? this.end() : void this.begin()));
    this.#length.addEventListener("change", () => void this.#plan());
    put(
      this.element,
      el("h2", { id: "sitting-title" }, "Today’s sitting"),
      el("p", {}, el("label", { for: "minutes" }, "Time today: "), this.#length, " ", this.#begin),
      this.#said,
      this.#list,
    );
  }

  /** The block that is worked through, or rested. */
  get current(): Block | undefined {
    return this.#blocks[this.#at];
  }
  get running(): boolean {
    return this.#at >= 0;
  }

  /** `present`: the tempo that is played cleanly now. */
  async show(lesson: EngineLesson, ideas: readonly IdeaView[], present: number): Promise<void> {
    if (this.running) return;
    this.#source = { lesson, ideas, present };
    await this.#plan();
  }

  async #plan(): Promise<void> {
    if (this.#source === undefined) return;
    const { lesson, ideas, present } = this.#source;
    const answer = await lesson.call({ call: "practice", minutes: Number(this.#length.value), present });
    if ("error" in answer || this.running) return;
    this.#blocks = answer.result.today;
    put(this.#list, ...this.#blocks.map((block) => el("li", { class: block.kind === "rest" ? "pause" : "work" }, `${minutes(block.minutes)}. ${said(block, ideas)}`)));
  }

  async begin(): Promise<void> {
    if (this.#blocks.length === 0) return;
    this.#begin.textContent = "End it here";
    this.#said.textContent = "";
    this.clock.hidden = false;
    this.#length.disabled = true;
    this.#go(0);
    this.#tick = setInterval(() => this.#look(), 250);
  }

  end(): void {
    if (!this.running) return;
    clearInterval(this.#tick);
    this.#at = -1;
    this.#begin.textContent = "Begin";
    this.#length.disabled = false;
    this.clock.hidden = true;
    for (const item of this.#list.children) item.removeAttribute("aria-current");
    this.#events.onEnd();
  }

  #go(index: number): void {
    this.#at = index;
    const block = this.#blocks[index];
    if (block === undefined) {
      this.end();
      this.#said.textContent = "That was today’s sitting. Well done. Leave it until tomorrow.";
      return;
    }
    this.#ends = Date.now() + block.minutes * 60_000;
    [...this.#list.children].forEach((item, i) => (i === index ? item.setAttribute("aria-current", "step") : item.removeAttribute("aria-current")));
    this.#events.onBlock(block);
    this.#look();
  }

  #next(): string {
    const next = this.#blocks[this.#at + 1];
    if (next === undefined) return "";
    return next.kind === "rest" ? ", then rest" : `, then ${this.#source?.ideas.find(({ number }) => number === next.idea)?.name ?? "the next"}`;
  }

  #look(): void {
    const block = this.#blocks[this.#at];
    if (block === undefined) return;
    const left = Math.ceil((this.#ends - Date.now()) / 1000);
    if (left > 0) {
      const text = `${block.kind === "rest" ? "Rest. " : ""}${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")} left${this.#next()}`;
      if (this.clock.textContent !== text) this.clock.textContent = text;
      return;
    }
    if (block.kind !== "rest") this.#events.onWorked(block);
    this.#go(this.#at + 1);
  }
}
