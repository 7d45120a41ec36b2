// A sentence whose bold words can be changed.

import { useRef } from "preact/hooks";
import type { Finding, Sentence, Span } from "../engine/calls.js";
import { asSentence } from "./refused.js";
import { openWord, wordAt } from "./word_sheet.js";
import { useLesson } from "./surroundings_of_lesson.js";

interface WordsProps {
  readonly of: Sentence;
  /** Which of an idea's feels is shown, where its words are feels. */
  readonly feels?: { readonly shown: number; show(feel: number): void };
}

export function Words({ of, feels }: WordsProps) {
  const { document } = useLesson();
  const findings = document.shown.value.findings;
  let feel = 0;
  return (
    <>
      {of.map((span, i) => {
        if (span.key === undefined) return <span key={i}>{span.text}</span>;
        if (span.value !== undefined) return <RepairWord key={i} span={span} />;
        const isFeel = feels !== undefined && span.key.endsWith(".notes_per_beat") && /^\d+$/.test(span.text);
        return isFeel ? <FeelWord key={i} span={span} feel={feel++} feels={feels} /> : <Word key={i} span={span} findings={findings} />;
      })}
    </>
  );
}

/** Whether a finding speaks of this word. */
function troubled(key: string, findings: readonly Finding[]): string {
  const level = findings.find(({ where, level }) => where === key && level !== "note")?.level;
  return level === undefined ? "" : ` ${level}`;
}

/** How far a finger or mouse goes for one step of a number. */
const DRAG_STEP = 8;

function Word({ span, findings }: { readonly span: Span; readonly findings: readonly Finding[] }) {
  const { document } = useLesson();
  const drag = useRef<{ x: number; from: number; by: number } | null>(null);
  const key = span.key!;
  const number = /-?\d+/.exec(span.text)?.[0];
  const moved = (by: number) => span.text.replace(/-?\d+/, String(Number(number) + by));

  // A number goes with the pointer; what was meant is kept when it is let go.
  const draggable = number !== undefined && !key.endsWith("notes_per_beat") && !key.endsWith("meter");
  return (
    <button
      type="button"
      class={`word${troubled(key, findings)}${wordAt.value?.key === key ? " open" : ""}`}
      data-key={key}
      onClick={(event) => {
        if (drag.current?.by) return;
        openWord(document, key, span.text, event.currentTarget);
      }}
      onPointerDown={(event) => {
        if (!draggable || event.button !== 0) return;
        drag.current = { x: event.clientX, from: Number(number), by: 0 };
      }}
      onPointerMove={(event) => {
        const now = drag.current;
        if (now === null || event.buttons === 0) return;
        const by = Math.round((event.clientX - now.x) / DRAG_STEP);
        if (by === now.by) return;
        event.currentTarget.setPointerCapture(event.pointerId);
        now.by = by;
        void document.try({ call: "edit", key, words: moved(by) });
      }}
      onPointerUp={() => {
        const now = drag.current;
        window.setTimeout(() => (drag.current = null));
        if (!now || now.by === 0) return;
        void document.edit({ call: "edit", key, words: moved(now.by) }).then(() => document.try(null));
      }}
      onPointerCancel={() => {
        if (drag.current?.by) void document.try(null);
        drag.current = null;
      }}
    >
      {span.text}
    </button>
  );
}

/** The first press shows that feel; the next one opens it like any word. */
function FeelWord({ span, feel, feels }: { readonly span: Span; readonly feel: number; readonly feels: NonNullable<WordsProps["feels"]> }) {
  const { document } = useLesson();
  const shown = feels.shown === feel;
  return (
    <button
      type="button"
      class={`word feel${shown ? " shown" : ""}`}
      data-key={span.key}
      aria-pressed={shown}
      onClick={(event) => {
        if (shown) openWord(document, span.key!, span.text, event.currentTarget);
        else feels.show(feel);
      }}
    >
      {span.text}
    </button>
  );
}

/** Pressing it puts the repair into the rule; looking at it shows the loom as it would be. */
function RepairWord({ span }: { readonly span: Span }) {
  const { document } = useLesson();
  const edit = { call: "edit", key: span.key!, value: span.value! } as const;
  return (
    <button
      type="button"
      class="word repair"
      data-key={span.key}
      onClick={() => void document.edit(edit)}
      onFocus={() => void document.try(edit)}
      onBlur={() => void document.try(null)}
      onPointerEnter={() => void document.try(edit)}
      onPointerLeave={() => void document.try(null)}
    >
      {span.text}
    </button>
  );
}

/** What a finding says, with its repair as a word to press. */
export function FindingSentence({ finding, number }: { readonly finding: Finding; readonly number: number }) {
  const { document } = useLesson();
  const mend = document.shown.value.mends[number];
  return (
    <p class={`finding ${finding.level}`}>
      {asSentence(finding.message)}{" "}
      {mend && (
        <button type="button" class="word repair" onClick={() => void document.edit({ call: "repair", finding: number })}>
          {mend}
        </button>
      )}
    </p>
  );
}
