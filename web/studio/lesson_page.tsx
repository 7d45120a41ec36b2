// One lesson, downward: what it is called, its sentence, its ideas, the vamp, the pack; the ladder at the foot.

import { signal } from "@preact/signals";
import { useEffect, useMemo } from "preact/hooks";
import { AnotherIdea } from "./another_idea.js";
import { keysShown } from "./keys_help.js";
import { LadderFoot } from "./ladder_foot.js";
import type { EngineClient } from "../shared/engine_client.js";
import type { OpenLesson } from "./open_lesson.js";
import { PackPart } from "./pack_part.js";
import { ProseField } from "./prose_field.js";
import type { Saving } from "./saving.js";
import type { Store } from "./store.js";
import { Strip } from "./strip.js";
import { LessonContext } from "./surroundings_of_lesson.js";
import { VampLine } from "./vamp_line.js";
import { WordSheet } from "./word_sheet.js";
import { FindingSentence, Words } from "./words.js";
import { WriteOut } from "./write_out.js";

interface LessonPageProps {
  readonly lesson: OpenLesson;
  readonly store: Store;
  readonly engine: EngineClient;
  leave(): void;
  /** Another lesson takes this one's place. */
  open(name: string): void;
}

export function LessonPage({ lesson, store, engine, leave, open }: LessonPageProps) {
  const { document, saving } = lesson;
  const more = useMemo(() => signal(false), []);
  useEffect(() => () => document.close(), [document]);
  const { summary, sentences, findings } = document.shown.value;
  const general = findings.map((finding, i) => ({ finding, i })).filter(({ finding }) => !finding.where.startsWith("idea["));
  return (
    <LessonContext.Provider value={{ document, saving, engine }}>
      <main class={document.tried.value === null ? "lesson" : "lesson trying"}>
        <nav>
          <button type="button" class="more" onClick={leave}>
            Your lessons
          </button>
        </nav>
        <SavingLine saving={saving} />
        {sentences === null ? (
          <Unreadable />
        ) : (
          <>
            <h1>
              <ProseField at="title" text={sentences.title} label="Title of the lesson" class="title" />
            </h1>
            <p class="author">
              <ProseField at="author" text={sentences.author} label="Your name" class="author" />
            </p>
            <ProseField at="intro" text={sentences.intro} label="A few words to begin with" class="intro" />
            {summary.read_only && <p class="finding note">This lesson was written by a newer Fretloom. You can read and hear it, but not change it here.</p>}
            <p class="sentence lesson-sentence">
              <Words of={sentences.lesson} />{" "}
              <button type="button" class="more" aria-expanded={more.value} onClick={() => (more.value = !more.value)}>
                {more.value ? "and less" : "and more"}
              </button>
            </p>
            {more.value && (
              <p class="sentence more-sentence">
                <Words of={sentences.more} />
              </p>
            )}
            {general.map(({ finding, i }) => (
              <FindingSentence key={i} finding={finding} number={i} />
            ))}
            {document.ideas.value.map((idea) => (
              <Strip key={idea.number} idea={idea} count={summary.ideas.length} />
            ))}
            <AnotherIdea />
            {summary.ideas.length > 0 && <VampLine />}
            <PackPart store={store} saving={saving} />
            <WriteOut lesson={lesson} store={store} leave={leave} open={open} />
            <p class="cautions">{sentences.cautions}</p>
            <button type="button" class="more" aria-expanded={keysShown.value} onClick={() => (keysShown.value = !keysShown.value)}>
              the keys
            </button>
          </>
        )}
      </main>
      <LadderFoot />
      <WordSheet />
    </LessonContext.Provider>
  );
}

/** Says only what the teacher has to know. */
function SavingLine({ saving }: { readonly saving: Saving }) {
  const state = saving.state.value;
  switch (state.is) {
    case "kept":
    case "waiting":
      return null;
    case "conflict":
      return (
        <p class="finding warning" role="alert">
          This lesson was also changed somewhere else.{" "}
          <button type="button" class="word" onClick={() => void saving.takeTheirs()}>
            Show the other version
          </button>{" "}
          (yours is one step back), or{" "}
          <button type="button" class="word" onClick={() => void saving.keepMine()}>
            keep this one
          </button>
          .
        </p>
      );
    case "gone":
      return (
        <p class="finding warning" role="alert">
          This lesson is no longer in its folder. What you see is still here; write it out, or copy it.
        </p>
      );
    case "failed":
      return (
        <p class="finding error" role="alert">
          {state.message}{" "}
          <button type="button" class="word" onClick={() => void saving.now()}>
            Try again
          </button>
          .
        </p>
      );
  }
}

/** A file that is no lesson: what stands wrong in it, by line. */
function Unreadable() {
  return <p class="finding error">This file cannot be read as a lesson. Mend it in a text editor; it is taken in again as soon as it is saved.</p>;
}
