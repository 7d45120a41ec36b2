// Rows of loom and sheet stand still while they are played. Where the next one is out of sight, the page is turned to it at
// once, for hands that hold a guitar; whoever looks elsewhere stays there.

import type { DrawingView } from "../shared/drawing.js";

/** Pixels above what the page is turned to. */
const margin = 8;

export class PageTurner {
  readonly #drawings: readonly DrawingView[];
  readonly #top: HTMLElement;
  readonly #foot: HTMLElement;
  /** Of each drawing, the row that was played last; nothing before the first note. */
  #rows = new Map<DrawingView, number>();

  /** `top` stands above the first drawing; `foot` lies over the page's end. */
  constructor(drawings: readonly DrawingView[], top: HTMLElement, foot: HTMLElement) {
    this.#drawings = drawings;
    this.#top = top;
    this.#foot = foot;
  }

  /** Something else is played from now on. */
  begin(): void {
    this.#rows.clear();
  }

  /** Playing begins at a press elsewhere: as much of the first drawing as fits comes into view, if its beginning is there. */
  settle(): void {
    const [first] = this.#drawings;
    if (first === undefined || !this.#seen(first, 0, true)) return;
    const hidden = first.element.getBoundingClientRect().bottom - this.#floor();
    const room = this.#top.getBoundingClientRect().top - margin;
    if (hidden > 0 && room > 0) window.scrollBy({ top: Math.min(hidden, room), behavior: "instant" });
  }

  /** To where the playing begins, unless it is seen already. */
  toTop(): void {
    const { top, bottom } = this.#top.getBoundingClientRect();
    if (top < 0 || bottom > this.#floor()) window.scrollBy({ top: top - margin, behavior: "instant" });
  }

  /** This note is played. */
  follow(note: number): void {
    let turned = false;
    for (const drawing of this.#drawings) {
      const row = drawing.drawing?.notes.find((one) => one.note === note)?.row;
      const before = this.#rows.get(drawing);
      if (row === undefined || row === before || drawing.element.offsetHeight === 0) continue;
      if (!turned && this.#seen(drawing, before ?? row, before === undefined) && !this.#seen(drawing, row)) {
        turned = true;
        const from = row === 0 && drawing === this.#drawings[0] ? this.#top.getBoundingClientRect().top : this.#ends(drawing, row).top;
        window.scrollBy({ top: from - margin, behavior: "instant" });
      }
      this.#rows.set(drawing, row);
    }
  }

  /** Whether all of a row is seen, or `partly`: its upper edge. */
  #seen(drawing: DrawingView, row: number, partly = false): boolean {
    const { top, bottom } = this.#ends(drawing, row);
    return top >= 0 && (partly ? top : bottom) <= this.#floor();
  }
  #ends(drawing: DrawingView, row: number): { readonly top: number; readonly bottom: number } {
    const { top } = drawing.element.getBoundingClientRect();
    const { y = 0, height = 0 } = drawing.drawing?.rows[row] ?? {};
    return { top: top + y, bottom: top + y + height };
  }
  #floor(): number {
    return this.#foot.getBoundingClientRect().top;
  }
}
