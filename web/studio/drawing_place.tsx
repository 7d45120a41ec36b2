// A drawing of the engine in the page. What stands in it belongs to nobody's virtual DOM.

import { useEffect, useRef } from "preact/hooks";
import type { LivingDrawing } from "../engine/calls.js";
import type { Kind } from "./drawings.js";
import { useLesson } from "./surroundings_of_lesson.js";

const NAMES: Readonly<Record<Kind, string>> = { loom: "The loom", sheet: "The sheet", neck: "The neck" };

export function DrawingPlace({ idea, kind }: { readonly idea: number; readonly kind: Kind }) {
  const { document } = useLesson();
  const element = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const host = element.current!;
    let remove: (() => void) | undefined;
    const place = {
      idea,
      kind,
      width: () => host.clientWidth,
      show(drawing: LivingDrawing) {
        host.classList.remove("faint");
        host.innerHTML = drawing.living.join("");
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
    return () => (seen.disconnect(), sized.disconnect(), remove?.());
  }, [document, idea, kind]);
  return <div ref={element} class={`drawing ${kind}`} data-name={NAMES[kind]} />;
}
