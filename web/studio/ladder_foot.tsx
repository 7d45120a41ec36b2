// The ladder at the foot of the window: from slow to goal, each rung sounds when it is pressed.

import { useRef } from "preact/hooks";
import { balance, hear, heard, sounding, tempo, type Part } from "./hearing.js";
import { useLesson } from "./surroundings_of_lesson.js";

const PARTS: readonly (readonly [Part, string])[] = [
  ["lick", "lick"],
  ["vamp", "vamp"],
  ["click", "click"],
  ["countIn", "count-in"],
];

export function LadderFoot() {
  const { document } = useLesson();
  const typed = useRef<HTMLInputElement>(null);
  const number = sounding.value?.idea ?? heard.value;
  const idea = document.ideas.value.find((one) => one.number === number) ?? document.ideas.value[0];
  const rungs = idea?.words?.ladder ?? [];
  if (idea === undefined || rungs.length === 0) return null;
  const goal = rungs.at(-1)!;
  const now = tempo.value ?? goal;
  const between = !rungs.includes(now);
  const play = (bpm: number) => {
    if (sounding.value?.idea === idea.number && tempo.value === bpm) return hear(document, idea.number);
    hear(document, idea.number, bpm);
  };
  return (
    <footer class="ladder" aria-label={`Ladder of idea ${idea.number}`}>
      <div class="rungs">
        {rungs.map((bpm, i) => (
          <button
            key={i}
            type="button"
            class={bpm === now ? "rung now" : bpm < now ? "rung climbed" : "rung"}
            aria-pressed={sounding.value !== null && bpm === now}
            aria-label={`${bpm} beats a minute`}
            onClick={() => play(bpm)}
          >
            {bpm}
          </button>
        ))}
        <label class={`tempo${between ? " now" : ""}`}>
          <span class="said">Another tempo, in beats a minute</span>
          <input
            ref={typed}
            inputMode="decimal"
            placeholder="bpm"
            value={between ? String(now) : ""}
            onChange={(event) => {
              const bpm = Number(event.currentTarget.value);
              if (bpm >= 10 && bpm <= 600) play(bpm);
              else event.currentTarget.value = "";
            }}
          />
        </label>
      </div>
      <p class="parts">
        with{" "}
        {PARTS.map(([part, name], i) => (
          <span key={part}>
            <Balance part={part} name={name} />
            {i < PARTS.length - 1 ? ", " : ""}
          </span>
        ))}
      </p>
    </footer>
  );
}

/** Pressing the word turns it on or off; the small line under it is how loud it is. */
function Balance({ part, name }: { readonly part: Part; readonly name: string }) {
  const { on, level } = balance[part].value;
  return (
    <span class={`balance${on ? "" : " off"}`}>
      <button type="button" class="word" aria-pressed={on} onClick={() => (balance[part].value = { on: !on, level })}>
        {name}
      </button>
      {part !== "countIn" && (
        <input
          type="range"
          min="0"
          max="1"
          step="0.05"
          value={level}
          aria-label={`How loud the ${name} is`}
          onInput={(event) => (balance[part].value = { on: true, level: Number(event.currentTarget.value) })}
        />
      )}
    </span>
  );
}
