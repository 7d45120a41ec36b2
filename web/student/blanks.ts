// The student's turns: blank places in loom and sheet over every other repetition.

import type { LivingDrawing } from "../engine/calls.js";
import type { Span } from "../shared/player.js";
import { el } from "./dom.js";

/** The second of two repetitions is the student's. */
export function blankSpans(repeats: readonly Span[]): Span[] {
  return repeats.filter((_, i) => i % 2 === 1);
}

export function drawBlanks(host: HTMLElement, drawing: LivingDrawing | undefined, spans: readonly Span[]): void {
  for (const old of host.querySelectorAll(".blank")) old.remove();
  if (drawing === undefined) return;
  for (const { first, last } of spans) {
    drawing.rows.forEach((row, index) => {
      const inside = drawing.notes.filter((one) => one.row === index && one.note >= first && one.note <= last);
      if (inside.length === 0) return;
      const left = Math.min(...inside.map(({ box }) => box.x)) - 4;
      // A repetition that goes on in the next row reaches to the end of this one.
      const goesOn = inside.at(-1)!.note === drawing.notes.filter((one) => one.row === index).at(-1)!.note;
      const right = goesOn ? row.x + row.width + 4 : Math.max(...inside.map(({ box }) => box.x + box.width)) + 4;
      const blank = el("div", { class: "blank", "aria-hidden": "true" }, "you");
      blank.style.left = `${left}px`;
      blank.style.top = `${row.y}px`;
      blank.style.width = `${right - left}px`;
      blank.style.height = `${row.height + 4}px`;
      host.append(blank);
    });
  }
}
