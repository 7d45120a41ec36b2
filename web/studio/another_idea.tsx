// The line under the last idea. A rule typed there makes another one; of notes that are pasted there, a tab or a list, the
// rules behind them stand under it.

import { useEffect, useRef, useState } from "preact/hooks";
import type { EngineError, ExplainAnswer } from "../engine/calls.js";
import { DrawingPlace } from "./drawing_place.js";
import { ExplainedAnswer } from "./explained_answer.js";
import { asSentence } from "./refused.js";
import { spaced } from "./rule_line.js";
import { explainer } from "./surroundings.js";
import { useLesson } from "./surroundings_of_lesson.js";

/** Notes on strings, not a rule: "6: 12 15 14", or lines of a tab. */
const NOTES = /\n|^\s*\w*\s*\d*:|\|/;

export function AnotherIdea() {
  const { document, engine } = useLesson();
  const [fault, setFault] = useState<EngineError | null>(null);
  const [answers, setAnswers] = useState<readonly ExplainAnswer[]>([]);
  const [reason, setReason] = useState("");
  const before = useRef("");
  const count = document.shown.value.summary.ideas.length;
  /** The number of an idea that is laid by hand, until its first note stands. */
  const [laid, lay] = useState<number | null>(null);
  useEffect(() => {
    if (laid === null || laid > count) return;
    lay(null);
    requestAnimationFrame(() => window.document.querySelector(`#idea-${laid} .loom`)?.scrollIntoView({ block: "center" }));
  }, [count]);
  const line = useRef<HTMLTextAreaElement>(null);

  const show = (number: number) =>
    requestAnimationFrame(() => window.document.getElementById(`idea-${number}`)?.scrollIntoView({ block: "center" }));
  const clear = () => {
    line.current!.value = before.current = "";
    line.current!.rows = 1;
    line.current!.classList.remove("notes");
    setAnswers([]);
    setReason("");
    setFault(null);
  };
  const make = async (rule: string) => {
    clear();
    const refused = await document.edit({ call: "add_idea", rule });
    setFault(refused);
    if (refused === null) show(document.kept.peek().summary.ideas.length);
    else if (line.current!.value === "") line.current!.value = before.current = rule;
  };
  const explain = async (text: string) => {
    const lesson = (await explainer(engine)).open(document.kept.peek().text);
    const answer = await lesson.call({ call: "explain", text });
    lesson.close();
    if (line.current!.value !== text) return;
    if ("error" in answer) {
      setFault(answer.error);
      return;
    }
    setAnswers(answer.result.answers);
    setReason(answer.result.answers.length > 0 ? "" : (answer.result.phrases.find((phrase) => phrase.reason)?.reason ?? "No rule was found behind these notes."));
  };
  const take = async (answer: ExplainAnswer) => {
    if (answer.text === null) return;
    clear();
    await document.edit({ call: "replace", text: answer.text });
    show(document.kept.peek().summary.ideas.length);
  };
  return (
    <section class="another" aria-label="Another idea">
      <label>
        Write another rule:{" "}
        <textarea
          ref={line}
          class="rule"
          rows={1}
          autocomplete="off"
          autocapitalize="off"
          spellcheck={false}
          aria-describedby="another-hint"
          onInput={(event) => {
            const input = event.currentTarget;
            setFault(null);
            input.rows = Math.min(12, input.value.split("\n").length);
            const isNotes = NOTES.test(input.value);
            input.classList.toggle("notes", isNotes);
            if (isNotes) {
              before.current = input.value;
              void explain(input.value);
              return;
            }
            setAnswers([]);
            setReason("");
            const next = spaced(input.value, before.current, input.selectionStart);
            if (next.text !== input.value) {
              input.value = next.text;
              input.setSelectionRange(next.at, next.at);
            }
            before.current = input.value;
          }}
          onKeyDown={(event) => {
            const rule = event.currentTarget.value.trim();
            if (event.key !== "Enter" || event.shiftKey || event.ctrlKey || rule === "") return;
            event.preventDefault();
            if (answers[0] !== undefined) void take(answers[0]);
            else if (!NOTES.test(rule)) void make(rule);
          }}
        />
      </label>
      <p class="hint" id="another-hint">
        String notes and the way to the next string, as <b>1 3 2 3 + 2 1</b>. Or paste notes, as <b>6: 12 15 14 15 | 5: 14 12</b> or a tab, and read the rule behind them.
      </p>
      <p class="hint">
        <button type="button" class="more" aria-expanded={laid !== null} onClick={() => lay(laid === null ? count + 1 : null)}>
          {laid === null ? "or lay it on the strings" : "or not"}
        </button>
      </p>
      {laid === count + 1 && <DrawingPlace idea={laid} kind="loom" />}
      {fault !== null && (
        <p class="finding error" role="alert">
          {asSentence(fault.message)}
        </p>
      )}
      {reason !== "" && (
        <p class="finding note" role="status">
          {reason}
        </p>
      )}
      {answers.map((answer, i) => (
        <ExplainedAnswer key={`${answer.phrase} ${answer.sentence}`} answer={answer} first={i === 0} take={() => void take(answer)} />
      ))}
    </section>
  );
}
