// A drawing of the engine in the page. What stands in it belongs to nobody's virtual DOM.

import { effect } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { DrawingView, type DrawingOptions, type Target } from "../shared/drawing.js";
import type { Kind } from "./drawings.js";
import type { HandHost } from "./hand_host.js";
import { keysWork } from "./keys.js";
import { hear, pressNote, sounding } from "./hearing.js";
import { LoomHand } from "./loom_hand.js";
import { NeckHand } from "./neck_hand.js";
import type { LessonDocument } from "./lesson_document.js";
import { useLesson } from "./surroundings_of_lesson.js";

const NAMES: Readonly<Record<Kind, string>> = { loom: "Loom", sheet: "Sheet", neck: "Neck" };

interface DrawingPlaceProps {
  readonly idea: number;
  readonly kind: Kind;
}

export function DrawingPlace({ idea, kind }: DrawingPlaceProps) {
  const { document } = useLesson();
  const element = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const host = element.current!;
    const name = `${NAMES[kind]} of idea ${idea}`;
    const options: DrawingOptions =
      kind === "sheet" ? { name, mark: "bar", onNote: (note) => pressNote(document, idea, note) } : { name, named: false };
    const view = new DrawingView(host, options);
    const hand = kind === "sheet" ? undefined : newHand(host, kind, document, idea);
    let remove: (() => void) | undefined;
    const place = {
      idea,
      kind,
      width: () => host.clientWidth,
      show(drawing: Parameters<DrawingView["show"]>[0]) {
        host.classList.remove("faint");
        view.show(drawing);
        hand?.show(drawing);
      },
      fade() {
        host.classList.add("faint");
      },
    };
    // Only what is near the screen is drawn.
    const seen = new IntersectionObserver(
      (entries) => {
        const near = entries.at(-1)!.isIntersecting;
        if (near && !remove) remove = document.drawings.add(place);
        if (!near && remove) (remove(), (remove = undefined));
      },
      { rootMargin: "600px 0px" },
    );
    seen.observe(host);
    let width = host.clientWidth;
    const sized = new ResizeObserver(() => {
      if (host.clientWidth === width) return;
      width = host.clientWidth;
      if (remove) (remove(), (remove = document.drawings.add(place)));
    });
    sized.observe(host);
    const endRing = effect(() => {
      const now = sounding.value;
      const note = now?.idea === idea && now.feel === document.feelOf(idea) ? now.note : undefined;
      view.ring(note === undefined ? undefined : targetOf(view, note));
    });
    return () => (seen.disconnect(), sized.disconnect(), endRing(), hand?.close(), remove?.());
  }, [document, idea, kind]);
  return <div ref={element} class={kind} />;
}

/** Hands change the rule on the loom and on the neck. They lie over the drawing. */
function newHand(host: HTMLElement, kind: "loom" | "neck", document: LessonDocument, idea: number): LoomHand | NeckHand {
  const surface = host.ownerDocument.createElement("div");
  host.append(surface);
  const common: HandHost = {
    lesson: document.lesson,
    idea,
    feel: () => document.feelOf(idea) + 1,
    preview: (text) => void document.try(text === null ? null : { call: "replace", text }),
    commit: (text) => void document.edit({ call: "replace", text }),
  };
  if (kind === "loom") {
    const hand = new LoomHand(surface, { ...common, lettersWork: () => keysWork.peek(), listen: (note) => hear(document, idea, { from: note }) });
    looms.set(idea, hand);
    return hand;
  }
  return new NeckHand(surface, {
    ...common,
    behind: () => looms.get(idea)?.behind ?? 0,
    previewValue: (key, value) => void document.try(value === null ? null : { call: "edit", key, value }),
    commitValue: (key, value) => void document.edit({ call: "edit", key, value }),
  });
}
/** The looms on the page, by idea: what is tapped on a neck goes behind the note that is chosen there. */
const looms = new Map<number, LoomHand>();

/** A neck shows a note as its place. */
function targetOf(view: DrawingView, note: number): Target | undefined {
  const path = view.drawing?.path;
  return path === undefined ? { note } : path[note];
}
