// A drawing of the engine in the page. What stands in it belongs to nobody's virtual DOM.

import { effect } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { DrawingView, type DrawingOptions, type Target } from "../shared/drawing.js";
import type { Kind } from "./drawings.js";
import { pressNote, sounding } from "./hearing.js";
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
    const options: DrawingOptions = {
      name: `${NAMES[kind]} of idea ${idea}`,
      ...(kind === "sheet" ? { mark: "bar" as const } : {}),
      ...(kind === "sheet" ? { onNote: (note: number) => pressNote(document, idea, note) } : {}),
    };
    const view = new DrawingView(host, options);
    let remove: (() => void) | undefined;
    const place = {
      idea,
      kind,
      width: () => host.clientWidth,
      show(drawing: Parameters<DrawingView["show"]>[0]) {
        host.classList.remove("faint");
        view.show(drawing);
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
    return () => (seen.disconnect(), sized.disconnect(), endRing(), remove?.());
  }, [document, idea, kind]);
  return <div ref={element} class={kind} />;
}

/** A neck shows a note as its place. */
function targetOf(view: DrawingView, note: number): Target | undefined {
  const path = view.drawing?.path;
  return path === undefined ? { note } : path[note];
}
