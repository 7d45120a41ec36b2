// A drawing of the engine on a page, outside of any framework: its rows, a ring on the note that sounds, and its notes for
// fingers, keys and screen readers.
//
//   const loom = new DrawingView(element, { name: "Loom", onNote: (note) => play(note) });
//   loom.show(result);          // of loom, neck or sheet with style "living"
//   loom.ring({ note: 3 });
//
// The element gets the class "drawing"; drawing.css has the rest.

import type { LivingDrawing, NoteBox, PlaceBox } from "../engine/calls.js";

/** What can be pointed at: a note of a loom or sheet, a place of a neck. */
export type Target = { readonly note: number } | { readonly string: number; readonly fret: number };

export interface DrawingOptions {
  /** What a screen reader calls it: "Loom". */
  readonly name: string;
  /** Whether its notes are listed for keys and screen readers; where hands lie over it, they do that. True. */
  readonly named?: boolean;
  /** A note was pressed, or Enter on it. */
  onNote?(note: number): void;
  onPlace?(string: number, fret: number): void;
  /** How the ring is drawn: around a knot or a place, or as a bar behind a line of music. */
  readonly mark?: "ring" | "bar";
}

/** A finger is wider than a digit: pixels around a note that still mean it. */
const aim = 14;

type Box = NoteBox["box"];
const middle = ({ x, y, width, height }: Box) => ({ x: x + width / 2, y: y + height / 2 });
/** Pixels from a point to a box; 0 inside. */
const distance = ({ x, y, width, height }: Box, px: number, py: number): number =>
  Math.hypot(Math.max(x - px, 0, px - x - width), Math.max(y - py, 0, py - y - height));

export class DrawingView {
  readonly element: HTMLElement;
  readonly #options: DrawingOptions;
  readonly #rows: HTMLElement;
  readonly #ring: HTMLElement;
  readonly #focus: HTMLElement;
  readonly #names: HTMLElement;
  #shown: readonly string[] = [];
  #drawing: LivingDrawing | undefined;
  #ringed: Target | undefined;
  /** Which of the names Tab comes to. */
  #current = 0;

  constructor(element: HTMLElement, options: DrawingOptions) {
    this.element = element;
    this.#options = options;
    element.classList.add("drawing");
    const part = (name: string): HTMLElement => {
      const made = document.createElement("div");
      made.className = name;
      element.append(made);
      return made;
    };
    this.#ring = part(`drawing-mark ${options.mark ?? "ring"}`);
    this.#rows = part("drawing-rows");
    this.#focus = part("drawing-focus");
    this.#names = part("drawing-names");
    this.#ring.hidden = this.#focus.hidden = true;
    for (const quiet of [this.#ring, this.#rows, this.#focus]) quiet.setAttribute("aria-hidden", "true");
    this.#names.setAttribute("role", "listbox");
    this.#names.setAttribute("aria-label", options.name);
    this.#names.setAttribute("aria-orientation", "horizontal");
    this.#names.addEventListener("keydown", (event) => this.#key(event));
    this.#names.addEventListener("focusin", (event) => this.#focused(event.target as HTMLElement));
    this.#names.addEventListener("focusout", () => (this.#focus.hidden = true));
    element.addEventListener("click", (event) => this.#pressed(event));
  }

  get drawing(): LivingDrawing | undefined {
    return this.#drawing;
  }

  /** Puts a drawing into the page; rows that look as they did stay as they are. How many were replaced. */
  show(drawing: LivingDrawing): number {
    this.#drawing = drawing;
    let replaced = 0;
    drawing.living.forEach((text, i) => {
      if (this.#shown[i] === text) return;
      ++replaced;
      const row = (this.#rows.children[i] as HTMLElement | undefined) ?? document.createElement("div");
      row.innerHTML = text;
      if (row.parentElement === null) this.#rows.append(row);
    });
    while (this.#rows.children.length > drawing.living.length) this.#rows.lastElementChild!.remove();
    this.#shown = drawing.living;
    this.#list();
    this.ring(this.#ringed);
    return replaced;
  }

  /** Takes the drawing away. */
  clear(): void {
    this.#drawing = undefined;
    this.#shown = [];
    this.#rows.replaceChildren();
    this.#names.replaceChildren();
    this.ring(undefined);
  }

  /** Moves the ring there, or takes it away. */
  ring(target: Target | undefined): void {
    this.#ringed = target;
    const found = target && this.#boxOf(target);
    this.#ring.hidden = found === undefined;
    if (found === undefined || this.#drawing === undefined) return;
    const at = middle(found.box);
    if (this.#options.mark !== "bar") {
      this.#ring.style.transform = `translate(${at.x}px, ${at.y}px)`;
      return;
    }
    const row = this.#drawing.rows[found.row] ?? found.box;
    this.#ring.style.height = `${row.height}px`;
    this.#ring.style.transform = `translate(${at.x}px, ${row.y}px)`;
  }

  /** The note at a point of the window, or the nearest within a finger's width. */
  noteAt(clientX: number, clientY: number): number | undefined {
    return this.#nearest(this.#drawing?.notes ?? [], clientX, clientY)?.note;
  }
  placeAt(clientX: number, clientY: number): { readonly string: number; readonly fret: number } | undefined {
    return this.#nearest(this.#drawing?.places ?? [], clientX, clientY);
  }
  /** A point of the window as one of the drawing, in its own pixels. */
  pointAt(clientX: number, clientY: number): { readonly x: number; readonly y: number } {
    const { left, top, width } = this.#rows.getBoundingClientRect();
    const scale = this.#drawing === undefined || width === 0 ? 1 : this.#drawing.width / this.#width(width);
    return { x: (clientX - left) * scale, y: (clientY - top) * scale };
  }
  /** A drawing is as wide as it was asked to be, unless the page's style makes it smaller. */
  #width(available: number): number {
    const first = this.#rows.querySelector("svg");
    return first?.getBoundingClientRect().width ?? available;
  }

  #nearest<T extends { readonly box: Box }>(boxes: readonly T[], clientX: number, clientY: number): T | undefined {
    const { x, y } = this.pointAt(clientX, clientY);
    let best: T | undefined;
    let least = aim;
    for (const one of boxes) {
      const far = distance(one.box, x, y);
      if (far >= least && !(far === 0 && least === 0)) continue;
      best = one;
      least = far;
    }
    return best;
  }

  #boxOf(target: Target): { readonly box: Box; readonly row: number } | undefined {
    if ("note" in target) return this.#drawing?.notes.find(({ note }) => note === target.note);
    const place = this.#drawing?.places.find(({ string, fret }) => string === target.string && fret === target.fret);
    return place && { box: place.box, row: 0 };
  }

  // For keys and screen readers: one stop of Tab, then the arrows.

  #targets(): readonly (NoteBox | PlaceBox)[] {
    const { notes = [], places = [] } = this.#drawing ?? {};
    // A note that is tied into the next row comes twice.
    if (notes.length === 0) return places;
    const seen = new Set<number>();
    return notes.filter(({ note }) => !seen.has(note) && seen.add(note));
  }
  #list(): void {
    const targets = this.#options.named === false ? [] : this.#targets();
    this.#current = Math.min(this.#current, Math.max(0, targets.length - 1));
    targets.forEach((target, i) => {
      const item = (this.#names.children[i] as HTMLElement | undefined) ?? this.#item();
      const said = "said" in target ? target.said : `string ${target.string} fret ${target.fret}`;
      if (item.textContent !== said) item.textContent = said;
      item.tabIndex = i === this.#current ? 0 : -1;
    });
    while (this.#names.children.length > targets.length) this.#names.lastElementChild!.remove();
    this.#names.hidden = targets.length === 0;
  }
  #item(): HTMLElement {
    const item = document.createElement("div");
    item.setAttribute("role", "option");
    item.setAttribute("aria-selected", "false");
    this.#names.append(item);
    return item;
  }

  /** Chooses a note for the keyboard, and goes there. */
  focus(index = this.#current): void {
    const items = [...this.#names.children] as HTMLElement[];
    const item = items[Math.max(0, Math.min(index, items.length - 1))];
    if (item === undefined) return;
    (items[this.#current] ?? item).tabIndex = -1;
    this.#current = items.indexOf(item);
    item.tabIndex = 0;
    item.focus({ preventScroll: true });
  }

  #focused(item: HTMLElement): void {
    const index = [...this.#names.children].indexOf(item);
    const target = this.#targets()[index];
    if (target === undefined) return;
    this.#current = index;
    const { x, y, width, height } = target.box;
    this.#focus.hidden = false;
    this.#focus.style.transform = `translate(${x - 3}px, ${y - 3}px)`;
    this.#focus.style.width = `${width + 6}px`;
    this.#focus.style.height = `${height + 6}px`;
    this.#focus.scrollIntoView({ block: "nearest", inline: "nearest" });
  }

  #key(event: KeyboardEvent): void {
    const count = this.#names.children.length;
    const to = { ArrowRight: this.#current + 1, ArrowLeft: this.#current - 1, Home: 0, End: count - 1 }[event.key];
    if (to !== undefined) this.focus(to);
    else if (event.key === "Enter" || event.key === " ") this.#chosen(this.#targets()[this.#current]);
    else return;
    event.preventDefault();
    event.stopPropagation();
  }

  #pressed(event: MouseEvent): void {
    // A screen reader presses the name itself.
    const index = [...this.#names.children].indexOf(event.target as HTMLElement);
    if (index >= 0) return this.#chosen(this.#targets()[index]);
    const note = this.#options.onNote && this.noteAt(event.clientX, event.clientY);
    if (note !== undefined) return this.#options.onNote?.(note);
    const place = this.#options.onPlace && this.placeAt(event.clientX, event.clientY);
    if (place !== undefined) this.#options.onPlace?.(place.string, place.fret);
  }

  #chosen(target: NoteBox | PlaceBox | undefined): void {
    if (target === undefined) return;
    if ("note" in target) this.#options.onNote?.(target.note);
    else this.#options.onPlace?.(target.string, target.fret);
  }
}
