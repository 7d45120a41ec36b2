// Whether single keys do something. Who speaks to the computer, or presses keys unwillingly, turns them off (WCAG 2.2,
// success criterion 2.1.4); Tab, Enter, Esc, Delete and the arrows go on.

import { signal } from "@preact/signals";

const KEPT = "fretloom-keys";

function kept(): boolean {
  try {
    return localStorage.getItem(KEPT) !== "off";
  } catch {
    return true; // no storage: they work until the page is left
  }
}

export const keysWork = signal(kept());

export function switchKeys(): void {
  keysWork.value = !keysWork.peek();
  try {
    localStorage.setItem(KEPT, keysWork.peek() ? "on" : "off");
  } catch {
    // Then it holds until the page is left.
  }
}
