// What was just reached by keyboard stays on the screen while drawings above it come in and push it down.

/** How long after it was reached, in milliseconds; who scrolls ends it earlier. */
const WHILE = 1500;

export function keepFocusSeen(window: Window & typeof globalThis): void {
  const { document } = window;
  let reached: { readonly element: Element; readonly at: number } | null = null;
  document.addEventListener("focusin", ({ target }) => {
    reached = target instanceof window.Element && target.matches(":focus-visible") ? { element: target, at: window.performance.now() } : null;
  });
  for (const own of ["wheel", "touchmove", "pointerdown"]) document.addEventListener(own, () => (reached = null), { passive: true });
  new window.ResizeObserver(() => {
    if (reached === null || window.performance.now() - reached.at > WHILE || document.activeElement !== reached.element) return;
    reached.element.scrollIntoView({ block: "nearest", behavior: "instant" });
  }).observe(document.body);
}
