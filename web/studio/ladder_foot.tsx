// The ladder at the foot of the window: from slow to goal, each rung sounds when it is pressed.

import { useRef } from "preact/hooks";
import { balance, hear, heard, loop, soundFault, sounding, switchLoop, tempo, type Part } from "./hearing.js";
import { useLesson } from "./surroundings_of_lesson.js";

const PARTS: readonly (readonly [Part, string])[] = [
  ["lick", "lick"],
  ["vamp", "vamp"],
  ["click", "click"],
  ["countIn", "count-in"],
];

/** A tempo goes with the pointer: this many pixels a beat a minute. */
const DRAG_STEP = 3;

function draggedTempo({ x, from }: { readonly x: number; readonly from: number }, now: number): number {
  return Math.max(10, Math.min(600, Math.round(from + (now - x) / DRAG_STEP)));
}

export function LadderFoot() {
  const { document } = useLesson();
  const typed = useRef<HTMLInputElement>(null);
  const drag = useRef<{ readonly x: number; readonly from: number } | null>(null);
  const number = sounding.value?.idea ?? heard.value;
  const idea = document.ideas.value.find((one) => one.number === number) ?? document.ideas.value[0];
  const rungs = idea?.words?.ladder ?? [];
  if (idea === undefined || rungs.length === 0) return null;
  const goal = rungs.at(-1)!;
  const now = tempo.value ?? goal;
  const between = !rungs.includes(now);
  const play = (bpm: number) => {
    hear(document, idea.number, { bpm });
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
            onPointerDown={(event) => (drag.current = { x: event.clientX, from: now })}
            onPointerMove={(event) => {
              if (drag.current === null || event.buttons === 0) return;
              const bpm = draggedTempo(drag.current, event.clientX);
              if (bpm === drag.current.from) return;
              event.currentTarget.setPointerCapture(event.pointerId);
              event.currentTarget.value = String(bpm);
            }}
            onPointerUp={(event) => {
              const bpm = drag.current === null ? now : draggedTempo(drag.current, event.clientX);
              drag.current = null;
              if (bpm !== now) play(bpm);
            }}
            onPointerCancel={() => (drag.current = null)}
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
        {PARTS.map(([part, name]) => (
          <Balance key={part} part={part} name={name} />
        ))}
        <LoopWord idea={idea.number} />
        {soundFault.value !== "" && <span role="alert"> {soundFault.value}</span>}
      </p>
    </footer>
  );
}

/** All of the idea goes round, or what lies between two notes of the sheet that are pressed. */
function LoopWord({ idea }: { readonly idea: number }) {
  const { document } = useLesson();
  const { on, span } = loop.value;
  return (
    <span class={on ? "balance" : "balance off"}>
      <button type="button" class="word" aria-pressed={on} onClick={() => switchLoop(document, idea)}>
        loop
      </button>
      {on && <span class="hint">{span === null ? "all; or press its first and last note" : span.first === span.last ? "now its last note" : `note ${span.first + 1} to ${span.last + 1}`}</span>}
    </span>
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
