// Words under a note of a loom: what can be done with it, for hands that know no keys.

import { element, put, type Point } from "./hand_host.js";

export interface NoteWord {
  readonly text: string;
  run(): void;
}

export class NoteWords {
  readonly element = element("div", "hand-words");

  /** `closed`: a word was pressed. */
  constructor(closed: () => void) {
    this.#closed = closed;
    this.element.setAttribute("role", "toolbar");
    this.element.hidden = true;
  }
  readonly #closed: () => void;

  get isOpen(): boolean {
    return !this.element.hidden;
  }

  contains(target: EventTarget | null): boolean {
    return this.element.contains(target as Node | null);
  }

  open(name: string, words: readonly NoteWord[], { x, y }: Point, width: number): void {
    this.element.replaceChildren(
      ...words.map(({ text, run }) => {
        const button = element("button", "hand-word");
        button.type = "button";
        button.textContent = text;
        button.addEventListener("click", () => (this.close(), this.#closed(), run()));
        return button;
      }),
    );
    this.element.setAttribute("aria-label", name);
    this.element.hidden = false;
    put(this.element, { x: Math.max(0, Math.min(x - 60, width - this.element.offsetWidth)), y: y + 20 });
  }

  close(): void {
    this.element.hidden = true;
  }

  focus(): void {
    (this.element.firstElementChild as HTMLElement).focus({ preventScroll: true });
  }

  /** Left and right go from word to word. */
  key(event: KeyboardEvent): void {
    const by = event.key === "ArrowRight" ? 1 : event.key === "ArrowLeft" ? -1 : 0;
    if (by === 0) return;
    event.preventDefault();
    const all = [...this.element.children] as HTMLElement[];
    all[(all.indexOf(event.target as HTMLElement) + by + all.length) % all.length]!.focus();
  }
}
