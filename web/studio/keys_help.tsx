// The list of keys, shown by pressing the question mark or a word at the foot of the lesson.

import { signal } from "@preact/signals";
import { keysWork, switchKeys } from "./keys.js";

export const keysShown = signal(false);

const KEYS: readonly (readonly [string, string])[] = [
  ["Space", "hear and stop, while no word or line is chosen"],
  ["Ctrl Enter", "hear and stop, everywhere"],
  ["Tab, Shift Tab", "to the next word, to the one before"],
  ["Enter", "open a word; keep what was chosen"],
  ["Esc", "leave a word as it was"],
  ["0 to 9, + and -", "in a rule: string notes, and the way to the next string"],
  ["h, p, s", "in a rule: hammer-on, pull-off, slide"],
  ["! and r", "in a rule: an accent, a rest"],
  ["Arrows, + and -", "on a loom: to the next note, the note up or down, to the next string; n adds one, x and X make it longer and shorter, Delete takes it out"],
  ["Alt and an arrow", "move an idea up or down"],
  ["Ctrl Z, Ctrl Shift Z", "one step back, one step forward"],
  ["Ctrl S", "write now; it also happens by itself"],
  ["?", "this list"],
];

export function KeysHelp() {
  if (!keysShown.value) return null;
  return (
    <section class="keys-help" role="dialog" aria-label="Keys">
      <dl>
        {KEYS.map(([keys, what]) => (
          <div key={keys}>
            <dt>{keys}</dt>
            <dd>{what}</dd>
          </div>
        ))}
      </dl>
      <p>{keysWork.value ? "All but Tab, Enter, Esc, Delete and the arrows can be turned off." : "All but Tab, Enter, Esc, Delete and the arrows are off."}</p>
      <button type="button" class="word" onClick={switchKeys}>
        {keysWork.value ? "Turn them off" : "Turn them on"}
      </button>{" "}
      <button type="button" class="more" onClick={() => (keysShown.value = false)}>
        close
      </button>
    </section>
  );
}
