// The line under the last idea. Typing a rule there makes another one.

import { useRef, useState } from "preact/hooks";
import type { EngineError } from "../engine/calls.js";
import { spaced } from "./rule_line.js";
import { useLesson } from "./surroundings_of_lesson.js";

export function AnotherIdea() {
  const { document } = useLesson();
  const [fault, setFault] = useState<EngineError | null>(null);
  const before = useRef("");
  const make = async (input: HTMLInputElement) => {
    const rule = input.value.trim();
    if (rule === "") return;
    input.value = before.current = "";
    const refused = await document.edit({ call: "add_idea", rule });
    setFault(refused);
    if (refused !== null) {
      if (input.value === "") input.value = before.current = rule;
      return;
    }
    const number = document.kept.peek().summary.ideas.length;
    requestAnimationFrame(() => window.document.getElementById(`idea-${number}`)?.scrollIntoView({ block: "center" }));
  };
  return (
    <p class="another">
      <label>
        Write another rule:{" "}
        <input
          class="rule"
          autocomplete="off"
          autocapitalize="off"
          spellcheck={false}
          onInput={(event) => {
            const input = event.currentTarget;
            const next = spaced(input.value, before.current, input.selectionStart ?? input.value.length);
            if (next.text !== input.value) {
              input.value = next.text;
              input.setSelectionRange(next.at, next.at);
            }
            before.current = input.value;
            setFault(null);
          }}
          onKeyDown={(event) => {
            if (event.key === "Enter") void make(event.currentTarget);
          }}
        />
      </label>
      {fault !== null && (
        <span class="finding error" role="alert">
          {fault.message.charAt(0).toUpperCase() + fault.message.slice(1)}.
        </span>
      )}
    </p>
  );
}
