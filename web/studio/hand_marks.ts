// What a hand on a drawing gives to eyes that do not see and hands that do not point: a button on each note or place, of
// which Tab reaches one and the hand's keys the others, how to use them, and what was done said aloud.

import { element, put, type Point } from "./hand_host.js";

export interface MarksOptions {
  readonly name: string;
  readonly help: string;
  /** An id for the help that no other element of the page has. */
  readonly helpId: string;
  /** Enter, Space, or a screen reader's press. */
  press(): void;
}

export class HandMarks {
  readonly #group = element("div", "hand-notes");
  readonly #help = element("p", "hand-said");
  readonly #said = element("p", "hand-said");
  readonly #options: MarksOptions;
  #chosen = 0;

  constructor(options: MarksOptions) {
    this.#options = options;
    this.#group.setAttribute("role", "group");
    this.#group.setAttribute("aria-label", options.name);
    this.#help.id = options.helpId;
    this.#help.textContent = options.help;
    this.#group.setAttribute("aria-describedby", options.helpId);
    this.#said.setAttribute("aria-live", "polite");
  }

  /** To be put into the page, in this order. */
  get elements(): readonly HTMLElement[] {
    return [this.#group, this.#said, this.#help];
  }

  get chosen(): number {
    return this.#chosen;
  }

  /** A button for each, with its name and its middle. */
  lay(marks: readonly { readonly name: string; readonly at: Point }[]): void {
    const focused = this.#group.contains(document.activeElement);
    while (this.#group.childElementCount > marks.length) this.#group.lastElementChild!.remove();
    while (this.#group.childElementCount < marks.length) {
      const button = element("button", "hand-note");
      button.type = "button";
      button.addEventListener("focus", () => this.choose([...this.#group.children].indexOf(button)));
      button.addEventListener("click", (event) => event.detail === 0 && this.#options.press());
      this.#group.append(button);
    }
    marks.forEach(({ name, at }, i) => {
      const button = this.#group.children[i] as HTMLElement;
      button.setAttribute("aria-label", name);
      put(button, at);
    });
    this.choose(Math.min(this.#chosen, marks.length - 1));
    if (focused) this.focus();
  }

  choose(mark: number): void {
    this.#chosen = Math.max(0, mark);
    [...this.#group.children].forEach((one, i) => ((one as HTMLElement).tabIndex = i === this.#chosen ? 0 : -1));
  }

  focus(): void {
    (this.#group.children[this.#chosen] as HTMLElement | undefined)?.focus({ preventScroll: true });
  }

  say(text: string): void {
    this.#said.textContent = text;
  }
}
