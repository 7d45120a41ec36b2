// A hand on the neck: a place that is tapped becomes a note of the rule, a drag moves the whole layout along the neck to
// the nearest fret where every idea that goes along can be played. It lies over the drawing, as loom_hand.ts does.

import type { NeckHands, PlaceBox, Placement } from "../engine/calls.js";
import { element, put, sentence, type NeckHost, type Point } from "./hand_host.js";
import { HandMarks } from "./hand_marks.js";

const STRAY = 8;
/** A tap this far beside a place still means it, in pixels. */
const REACH = 22;

const HELP =
  "Arrow keys go from place to place; Enter adds a note of that place to the rule. " +
  "At the position left and right move the layout along the neck.";

interface Neck {
  readonly places: readonly PlaceBox[];
  readonly neck?: NeckHands;
}

interface Drag {
  readonly start: number;
  /** The frets as they were when the pointer went down: what follows is drawn anew under it. */
  readonly frets: readonly number[];
  moved: boolean;
  to: Placement | undefined;
}

export class NeckHand {
  readonly #surface: HTMLElement;
  readonly #host: NeckHost;
  readonly #marks: HandMarks;
  readonly #position = element("div", "hand-position");
  readonly #fret = element("p", "hand-why");
  readonly #ends = new AbortController();

  #neck: Neck | undefined;
  #drag: Drag | undefined;
  #there: { readonly key: string; readonly positions: readonly Placement[] } | undefined;
  #work: Promise<void> = Promise.resolve();

  constructor(surface: HTMLElement, host: NeckHost) {
    this.#surface = surface;
    this.#host = host;
    surface.classList.add("hand");
    this.#fret.hidden = true;
    this.#marks = new HandMarks({
      name: `Places of idea ${host.idea} on the neck`,
      help: HELP,
      helpId: `hand-neck-help-${host.idea}`,
      press: () => this.#add(this.#neck!.places[this.#marks.chosen]),
    });
    this.#position.setAttribute("role", "slider");
    this.#position.setAttribute("aria-label", "Position on the neck");
    this.#position.setAttribute("aria-valuenow", "0");
    this.#position.tabIndex = 0;
    const [places, ...spoken] = this.#marks.elements;
    surface.replaceChildren(this.#position, places!, this.#fret, ...spoken);
    const { signal } = this.#ends;
    const on = <K extends keyof HTMLElementEventMap>(what: K, run: (event: HTMLElementEventMap[K]) => void) =>
      surface.addEventListener(what, run, { signal });
    on("pointerdown", (event) => this.#press(event));
    on("pointermove", (event) => this.#move(event));
    on("pointerup", (event) => this.#release(event));
    on("pointercancel", () => this.#cancel());
    on("keydown", (event) => this.#key(event));
    // Where the layout can go is asked when somebody is about to move it.
    on("focusin", (event) => void (event.target === this.#position && this.#positions().then(() => this.#layPosition())));
  }

  /** What was drawn: to be called after every drawing of this neck, asked for with hands. */
  show(neck: Neck): void {
    if (neck.neck === undefined) return;
    this.#neck = neck;
    if (this.#drag === undefined) this.#there = undefined;
    this.#layPlaces();
    this.#layPosition();
  }

  close(): void {
    this.#cancel();
    this.#ends.abort();
    this.#surface.replaceChildren();
  }

  #layPlaces(): void {
    this.#marks.lay(
      this.#neck!.places.map(({ string, fret, ordinal, box }) => ({
        name: `String ${string}, fret ${fret}, string note ${ordinal}`,
        at: { x: box.x + box.width / 2, y: box.y + box.height / 2 },
      })),
    );
  }

  #layPosition(): void {
    const home = this.#there?.positions.find(({ home }) => home);
    if (home === undefined) {
      this.#position.setAttribute("aria-valuenow", "0");
      return this.#position.removeAttribute("aria-valuetext");
    }
    const playable = this.#there!.positions.filter((one) => one.playable).map(({ from }) => from);
    this.#position.setAttribute("aria-valuenow", String(home.from));
    this.#position.setAttribute("aria-valuemin", String(Math.min(home.from, ...playable)));
    this.#position.setAttribute("aria-valuemax", String(Math.max(home.from, ...playable)));
    this.#position.setAttribute("aria-valuetext", `from fret ${home.from}`);
  }

  async #positions(): Promise<void> {
    if (this.#there !== undefined) return;
    const answer = await this.#host.lesson.call({ call: "positions", idea: this.#host.idea });
    if ("result" in answer) this.#there ??= answer.result;
  }

  // --- Pointers ---------------------------------------------------------------------------------------

  #at(event: PointerEvent): Point {
    const box = this.#surface.getBoundingClientRect();
    return { x: event.clientX - box.left, y: event.clientY - box.top };
  }

  #placeAt({ x, y }: Point): PlaceBox | undefined {
    const distance = ({ box }: PlaceBox) => Math.hypot(box.x + box.width / 2 - x, box.y + box.height / 2 - y);
    const [near] = [...(this.#neck?.places ?? [])].sort((a, b) => distance(a) - distance(b));
    return near !== undefined && distance(near) <= REACH ? near : undefined;
  }

  #press(event: PointerEvent): void {
    if (event.button !== 0 || !event.isPrimary || this.#neck === undefined) return;
    this.#fret.hidden = true;
    this.#drag = { start: this.#at(event).x, frets: this.#neck.neck!.rows[0]!.frets, moved: false, to: undefined };
    this.#there = undefined;
    void this.#positions();
    this.#surface.setPointerCapture(event.pointerId);
    if (event.pointerType === "mouse") event.preventDefault();
  }

  #move(event: PointerEvent): void {
    const drag = this.#drag;
    if (drag === undefined) return;
    const point = this.#at(event);
    if (Math.abs(point.x - drag.start) > STRAY) drag.moved = true;
    if (!drag.moved || this.#there === undefined) return;
    const { wanted, to } = this.#nearest(point.x - drag.start, drag.frets);
    if (to === undefined) return;
    this.#tell(wanted, to, point);
    if (drag.to?.from === to.from) return;
    drag.to = to;
    void this.#host.previewValue(this.#there.key, to.home ? null : String(to.from));
  }

  #release(event: PointerEvent): void {
    const drag = this.#drag;
    if (drag === undefined) return;
    this.#drag = undefined;
    this.#fret.hidden = true;
    if (!drag.moved) return this.#add(this.#placeAt(this.#at(event)));
    if (drag.to === undefined || drag.to.home) return this.#cancel();
    this.#keep(drag.to);
  }

  /** The position that a drag of so many pixels means, and the nearest that can be played. */
  #nearest(by: number, frets: readonly number[]): { readonly wanted: Placement | undefined; readonly to: Placement | undefined } {
    const { positions } = this.#there!;
    const home = positions.find(({ home }) => home) ?? positions[0];
    if (home === undefined) return { wanted: undefined, to: undefined };
    const x = frets[home.from]! + by;
    const distance = ({ from }: Placement) => Math.abs(frets[from]! - x);
    const near = (of: readonly Placement[]) => [...of].sort((a, b) => distance(a) - distance(b))[0];
    return { wanted: near(positions), to: near(positions.filter(({ playable, home }) => playable || home)) };
  }

  /** "From fret 9"; where the finger is beyond what can be played, why, and the nearest fret. */
  #tell(wanted: Placement | undefined, to: Placement, point: Point): void {
    const away = wanted !== undefined && wanted.from !== to.from;
    this.#fret.textContent = away ? `${sentence(wanted.reason ?? "")} Nearest is fret ${to.from}.` : `From fret ${to.from}.`;
    this.#fret.hidden = false;
    put(this.#fret, { x: Math.min(Math.max(point.x - 40, 0), Math.max(0, this.#surface.clientWidth - 200)), y: 0 });
  }

  #cancel(): void {
    const moved = this.#drag?.to !== undefined;
    this.#drag = undefined;
    this.#fret.hidden = true;
    if (moved) void this.#host.previewValue(this.#there?.key ?? "layout.from", null);
  }

  // --- Changes ----------------------------------------------------------------------------------------

  #queue(work: () => Promise<void>): void {
    this.#work = this.#work.then(work).catch((error: unknown) => this.#say(error instanceof Error ? error.message : String(error)));
  }

  #say(text: string): void {
    this.#marks.say(sentence(text));
  }

  #add(place: PlaceBox | undefined): void {
    if (place === undefined) return;
    const { string, ordinal } = place;
    this.#queue(async () => {
      const answer = await this.#host.lesson.call({
        call: "reshape", idea: this.#host.idea, feel: this.#host.feel(), change: "insert", token: this.#host.behind(), string, ordinal,
      });
      if ("error" in answer) return this.#say(answer.error.message);
      await this.#host.commit(answer.result.text, answer.result.says);
      this.#say(answer.result.says);
    });
  }

  #keep(to: Placement): void {
    const key = this.#there?.key;
    if (key === undefined) return;
    const says = `From fret ${to.from}.`;
    this.#queue(async () => {
      await this.#host.commitValue(key, String(to.from), says);
      this.#there = undefined;
      await this.#positions();
      this.#layPosition();
      this.#say(says);
    });
  }

  // --- Keys -------------------------------------------------------------------------------------------

  #key(event: KeyboardEvent): void {
    if (event.key === "Escape" && this.#drag !== undefined) return this.#cancel();
    if (event.altKey || event.ctrlKey || event.metaKey) return;
    const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (way === undefined || this.#neck === undefined) return;
    event.preventDefault();
    // On a mirrored neck the frets run the other way.
    const [x, y] = way as [number, number];
    const along = this.#neck.neck!.mirrored ? -x : x;
    if (event.target === this.#position) this.#queue(() => this.#step(x === 0 ? -y : along));
    else this.#go(along, y);
  }

  /** The next position that can be played. */
  async #step(by: number): Promise<void> {
    await this.#positions();
    const positions = (this.#there?.positions ?? []).filter(({ playable, home }) => playable || home);
    const next = positions[positions.findIndex(({ home }) => home) + by];
    if (next === undefined) return this.#say("the layout goes no further on this neck");
    this.#keep(next);
  }

  /** To the next place along a string, or the nearest on the next string. */
  #go(along: number, across: number): void {
    const { places } = this.#neck!;
    const from = places[this.#marks.chosen]!;
    const fits = (one: PlaceBox) =>
      across === 0 ? one.string === from.string && (one.fret - from.fret) * along > 0 : one.string === from.string + across;
    const [to] = places.filter(fits).sort((a, b) => Math.abs(a.fret - from.fret) - Math.abs(b.fret - from.fret));
    if (to === undefined) return;
    this.#marks.choose(places.indexOf(to));
    this.#marks.focus();
  }
}
