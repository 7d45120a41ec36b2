// One idea: its rule, what is said of it, loom, proof, sheet and neck.

import { signal } from "@preact/signals";
import { useMemo } from "preact/hooks";
import { DrawingPlace } from "./drawing_place.js";
import { Everywhere } from "./everywhere.js";
import type { ShownIdea } from "./lesson_document.js";
import { hear, sounding, wasHeard } from "./hearing.js";
import { ProseField } from "./prose_field.js";
import { keysWork } from "./keys.js";
import { RuleLine } from "./rule_line.js";
import { useLesson } from "./surroundings_of_lesson.js";
import { FindingSentence, Words } from "./words.js";

/** What to do next, on the lesson to begin with. */
function FirstHint() {
  const { saving } = useLesson();
  const isFirst = saving.name.value === null;
  if (!isFirst || !wasHeard.value) return keysWork.value ? <span class="hint">space</span> : null;
  return <span class="hint said-next">Now change a digit of the rule above.</span>;
}

interface StripProps {
  readonly idea: ShownIdea;
  readonly count: number;
}

export function Strip({ idea, count }: StripProps) {
  const { document } = useLesson();
  const more = useMemo(() => signal(false), []);
  const elsewhere = useMemo(() => signal(false), []);
  const { number, words, sound } = idea;
  const findings = document.shown.value.findings;
  const own = findings.map((finding, i) => ({ finding, i })).filter(({ finding }) => finding.where.startsWith(`idea[${number}]`));
  const move = (to: number) => {
    if (to < 1 || to > count) return;
    void document.edit({ call: "move_idea", idea: number, to }).then(() =>
      requestAnimationFrame(() => window.document.querySelector<HTMLElement>(`#idea-${to} .rule`)?.focus()),
    );
  };
  const feel = document.feelOf(number);
  const isSounding = sounding.value?.idea === number;
  const shownEnding = words?.feels[feel]?.ending ?? [];
  return (
    <section
      class="strip"
      id={`idea-${number}`}
      aria-label={`Idea ${number}${idea.name === "" ? "" : `, ${idea.name}`}`}
      data-idea={number}
      onKeyDown={(event) => {
        if (!keysWork.peek() || !event.altKey || (event.key !== "ArrowUp" && event.key !== "ArrowDown")) return;
        event.preventDefault();
        move(number + (event.key === "ArrowUp" ? -1 : 1));
      }}
      onDragOver={(event) => event.preventDefault()}
      onDrop={(event) => {
        const from = Number(event.dataTransfer?.getData("text/x-idea"));
        if (!from || from === number) return;
        event.preventDefault();
        void document.edit({ call: "move_idea", idea: from, to: number });
      }}
    >
      <h2>
        <span
          class="number"
          draggable
          title="Drag it to another place, or press Alt and an arrow"
          onDragStart={(event) => event.dataTransfer?.setData("text/x-idea", String(number))}
        >
          {number}
        </span>{" "}
        <ProseField at={`idea[${number}].name`} text={idea.name} label="Name of the idea" class="name" />
      </h2>
      {idea.rule !== null && (
        <RuleLine at={idea.rule.key} text={idea.rule.text} words={sound ? (words?.rule.words ?? "") : ""} label={`Rule of idea ${number}`} />
      )}
      {words !== null && (
        <>
          <p class="hear-line">
            <button type="button" class="hear" disabled={!sound} aria-pressed={isSounding} onClick={() => hear(document, number)}>
              {isSounding ? "Stop" : "Hear it"}
            </button>
            {number === 1 && <FirstHint />}
          </p>
          <p class="sentence">
            <Words of={words.sentence} feels={{ shown: feel, show: (at) => document.showFeel(number, at) }} />{" "}
            <Words of={shownEnding} />{" "}
            <button type="button" class="more" aria-expanded={more.value} onClick={() => (more.value = !more.value)}>
              {more.value ? "and less" : "and more"}
            </button>
          </p>
          {more.value && (
            <p class="sentence more-sentence">
              <Words of={words.more} />{" "}
              <button type="button" class="word" onClick={() => void document.edit({ call: "remove_idea", idea: number })}>
                Take this idea out
              </button>
              .
            </p>
          )}
          <ProseField at={`idea[${number}].note`} text={words.note} label="A word to the student" class="note" />
        </>
      )}
      {own.map(({ finding, i }) => (
        <FindingSentence key={i} finding={finding} number={i} />
      ))}
      <DrawingPlace idea={number} kind="loom" />
      {words !== null && (
        <p class={`proof ${words.blocked === 0 ? "good" : "blocked"}`}>
          <Words of={words.proof} />
        </p>
      )}
      <div class="sheet-ground">
        <DrawingPlace idea={number} kind="sheet" />
      </div>
      <div class="neck-row">
        <DrawingPlace idea={number} kind="neck" />
        <button type="button" class="more" aria-expanded={elsewhere.value} onClick={() => (elsewhere.value = !elsewhere.value)}>
          {elsewhere.value ? "only here" : "everywhere on the neck"}
        </button>
      </div>
      {elsewhere.value && sound && <Everywhere idea={number} />}
    </section>
  );
}
