// What was reached, by idea and feel, and the days: as a file too.

import { el, put, word } from "./dom.js";
import type { LessonView } from "./lesson_view.js";
import { reachedAt, type ProgressStore } from "./progress.js";

/** "26 November 2026" for "2026-11-26". */
const dayName = (day: string): string =>
  new Date(`${day}T12:00:00Z`).toLocaleDateString("en-GB", { day: "numeric", month: "long", year: "numeric", timeZone: "UTC" });

export class ProgressPart {
  readonly element = el("details", { class: "progress" });
  readonly #store: ProgressStore;
  readonly #list = el("ul", {});
  readonly #days = el("p", {});
  readonly #said = el("p", { role: "status" });

  constructor(store: ProgressStore, onTaken: () => void) {
    this.#store = store;
    const file = el("input", { type: "file", id: "progress-file", accept: "application/json,.json", class: "file" });
    file.addEventListener("change", () => void this.#take(file, onTaken));
    put(
      this.element,
      el("summary", {}, "What you have reached"),
      this.#list,
      this.#days,
      el("p", {}, word("Save it as a file", () => this.#save())),
      el("p", {}, el("label", { for: "progress-file" }, "Read a file from another device: "), file),
      this.#said,
    );
  }

  show({ ideas }: LessonView): void {
    const { value, forgetful } = this.#store;
    const lines = ideas.flatMap((idea) =>
      idea.feels.map((notes) => {
        const bpm = reachedAt(value, idea.number, notes);
        return `${idea.name}, ${notes} notes a beat: ${bpm === undefined ? "not marked yet" : `clean at ${bpm}`}`;
      }),
    );
    put(this.#list, ...lines.map((line) => el("li", {}, line)));
    const n = value.days.length;
    this.#days.textContent = forgetful
      ? "This device keeps nothing when the page is closed; save a file if you want to go on from here."
      : n === 0
        ? "Your tempos are kept on this device and nowhere else."
        : `You practised on ${n === 1 ? "one day," : `${n} days, last on`} ${dayName(value.days.at(-1)!)}. This is kept on this device and nowhere else.`;
  }

  #save(): void {
    const address = URL.createObjectURL(new Blob([this.#store.file()], { type: "application/json" }));
    const link = el("a", { href: address, download: "practice.json" });
    document.body.append(link);
    link.click();
    link.remove();
    setTimeout(() => URL.revokeObjectURL(address), 10_000);
  }

  async #take(input: HTMLInputElement, onTaken: () => void): Promise<void> {
    const file = input.files?.[0];
    input.value = "";
    if (file === undefined) return;
    const fault = this.#store.take(await file.text());
    this.#said.textContent = fault ?? "It has been read. Of two tempos the higher one counts.";
    if (fault === undefined) onTaken();
  }
}
