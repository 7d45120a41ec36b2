// The rule as one large line of digits.

import { signal, type Signal } from "@preact/signals";
import { useEffect, useMemo, useRef } from "preact/hooks";
import type { EngineError } from "../engine/calls.js";
import { Refused } from "./refused.js";
import { useLesson } from "./surroundings_of_lesson.js";

/** How long somebody may think before a rule that is not finished is spoken of. */
const PATIENCE = 700;

/** String notes are single digits as a rule, so that blanks between them need no typing; 10 to 19 begin with a 1. */
export function spaced(typed: string, before: string, at: number): { text: string; at: number } {
  const isOneMore = typed.length === before.length + 1 && typed.slice(0, at - 1) === before.slice(0, at - 1);
  if (!isOneMore) return { text: typed, at };
  const sign = typed[at - 1]!;
  const left = typed.slice(0, at - 1);
  const startsToken = /[\dhps+\-r]/.test(sign);
  const tokenBefore = /[\d!#b+\-r]$/.test(left) && !/x$/.test(left);
  const goesOn = (/^[+-]$/.test(sign) && /[+-]$/.test(left) && sign === left.at(-1)) || (sign === "0" && /(^|\s)1$/.test(left));
  if (!startsToken || !tokenBefore || goesOn) return { text: typed, at };
  return { text: `${left} ${typed.slice(at - 1)}`, at: at + 1 };
}

interface RuleLineProps {
  readonly at: string;
  readonly text: string;
  readonly words: string;
  readonly label: string;
}

export function RuleLine({ at, text, words, label }: RuleLineProps) {
  const { document } = useLesson();
  const input = useRef<HTMLInputElement>(null);
  const fault: Signal<EngineError | null> = useMemo(() => signal(null), []);
  const wait = useRef(0);
  const before = useRef(text);
  // What is typed here is ahead of what the lesson says; all else that changes the rule comes into the line.
  const underway = useRef(0);
  useEffect(() => {
    const element = input.current!;
    if (underway.current > 0 || element.value.trim() === text.trim()) return;
    element.value = text;
    before.current = text;
    fault.value = null;
  }, [text, fault]);

  const change = async (typed: string) => {
    window.clearTimeout(wait.current);
    ++underway.current;
    const refused = await document.edit({ call: "edit", key: at, words: typed }, at);
    --underway.current;
    if (input.current?.value !== typed) return;  // more was typed meanwhile
    if (refused === null) fault.value = null;
    else wait.current = window.setTimeout(() => (fault.value = refused), PATIENCE);
  };
  return (
    <div class="rule-line">
      <input
        ref={input}
        class="rule"
        aria-label={label}
        aria-invalid={fault.value !== null}
        data-key={at}
        defaultValue={text}
        autocomplete="off"
        autocapitalize="off"
        spellcheck={false}
        onInput={(event) => {
          const element = event.currentTarget;
          if (at.endsWith(".cell")) {
            const next = spaced(element.value, before.current, element.selectionStart ?? element.value.length);
            if (next.text !== element.value) {
              element.value = next.text;
              element.setSelectionRange(next.at, next.at);
            }
          }
          before.current = element.value;
          void change(element.value);
        }}
        onBlur={(event) => {
          if (fault.value === null) event.currentTarget.value = text;
        }}
      />
      {fault.value === null ? (
        <p class="rule-words">{words}</p>
      ) : (
        <Refused
          document={document}
          at={at}
          why={fault.value}
          mended={() => {
            fault.value = null;
            input.current!.focus();
          }}
        />
      )}
    </div>
  );
}
