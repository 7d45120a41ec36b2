// Loom, sheet and neck of the ideas that are on the screen, asked of the engine as few times as can be and put into the
// page outside the virtual DOM.

import type { Answer } from "../engine/engine.js";
import type { LivingDrawing } from "../engine/calls.js";
import type { EngineLesson } from "../shared/engine_client.js";

export type Kind = "loom" | "sheet" | "neck";

/** Where a drawing is shown. */
export interface Place {
  readonly idea: number;
  readonly kind: Kind;
  /** Width to draw for, in pixels. */
  width(): number;
  show(drawing: LivingDrawing): void;
  /** The idea is in error: what was drawn last stays, faint. */
  fade(): void;
}

interface DrawRequest {
  readonly call: Kind;
  readonly idea: number;
  readonly feel: number;
  readonly width: number;
  readonly style: "living";
  readonly digits?: number;
  readonly hands?: boolean;
}

/** Size of the neck's digits where there is room for it, in pixels. */
const NECK_DIGITS = 19;
const ROOM = 700;

/** What is drawn: the lesson as it is shown now, and which of an idea's feels. */
export interface Drawn {
  readonly engine: EngineLesson;
  feelOf(idea: number): number;
}

export class Drawings {
  readonly #document: Drawn;
  readonly #places = new Set<Place>();
  #turn = 0;

  constructor(document: Drawn) {
    this.#document = document;
  }

  /** A place that is on the screen; what is returned takes it away. */
  add(place: Place): () => void {
    this.#places.add(place);
    void this.#draw([place]);
    return () => this.#places.delete(place);
  }

  /** What an edit of this idea asks for in the same breath; nothing for idea 0. */
  requestsFor(idea: number): DrawRequest[] {
    return [...this.#places].filter((place) => place.idea === idea).map((place) => this.#request(place));
  }

  /** The answers to them, in their order. */
  take(idea: number, requests: readonly DrawRequest[], answers: readonly Answer<Kind>[]): void {
    requests.forEach((request, i) => {
      for (const place of this.#places) {
        if (place.idea === idea && place.kind === request.call) this.#put(place, answers[i]!);
      }
    });
  }

  /** Draws all anew but those of one idea. */
  refresh(but = 0): void {
    ++this.#turn;
    void this.#draw([...this.#places].filter((place) => place.idea !== but));
  }

  async #draw(places: readonly Place[]): Promise<void> {
    if (places.length === 0) return;
    const turn = this.#turn;
    const requests = places.map((place) => this.#request(place));
    const answers = (await this.#document.engine.calls(...(requests as never[]))) as unknown as Answer<Kind>[];
    if (turn !== this.#turn) return;
    places.forEach((place, i) => this.#put(place, answers[i]!));
  }

  #request({ kind, idea, width }: Place): DrawRequest {
    const room = Math.max(240, Math.floor(width()));
    const digits = kind === "neck" && room > ROOM ? { digits: NECK_DIGITS } : {};
    return { call: kind, idea, feel: this.#document.feelOf(idea) + 1, width: room, style: "living", ...digits, ...(kind === "sheet" ? {} : { hands: true }) };
  }

  #put(place: Place, answer: Answer<Kind>): void {
    if ("result" in answer && "living" in answer.result) place.show(answer.result);
    else place.fade();
  }
}
