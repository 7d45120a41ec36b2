// Your lessons: one line a lesson with its first loom, found by typing.

import { useEffect, useRef, useState } from "preact/hooks";
import type { EngineClient } from "../shared/engine_client.js";
import { readFiles } from "./files.js";
import { StoreError, type LessonEntry, type Store } from "./store.js";

interface LessonsPageProps {
  readonly store: Store;
  readonly engine: EngineClient;
  open(name: string): void;
}

/** A key to begin with; it is the first word that a new lesson's sentence offers to change. */
const FIRST_KEY = "D mixolydian";

export function LessonsPage({ store, engine, open }: LessonsPageProps) {
  const [lessons, setLessons] = useState<readonly LessonEntry[] | null>(null);
  const [wanted, setWanted] = useState("");
  const [away, setAway] = useState(false);
  const [fault, setFault] = useState("");
  const trying = (what: () => Promise<void>) =>
    what().catch((error: unknown) => setFault(error instanceof StoreError ? error.message : String(error)));
  const list = () => trying(async () => setLessons(await store.list()));
  useEffect(() => {
    void list();
    return store.watch(() => void list());
  }, [store]);
  const write = (title: string) =>
    trying(async () => {
      const trial = engine.open("");
      const made = await trial.call({ call: "new_lesson", title, key: FIRST_KEY });
      trial.close();
      if ("error" in made) return setFault(made.error.message);
      open((await store.create(title, made.result.text)).name);
    });
  const shown = (lessons ?? []).filter(
    (lesson) => lesson.away === away && `${lesson.title} ${lesson.name}`.toLowerCase().includes(wanted.trim().toLowerCase()),
  );
  const anyAway = (lessons ?? []).some((lesson) => lesson.away);
  return (
    <main class="lessons">
      <h1>{away ? "Lessons you put away" : "Your lessons"}</h1>
      <p class="hint">{store.kind === "folder" ? `They lie in ${store.where}.` : "They are kept in this browser. Write out a lesson file to keep it elsewhere, too."}</p>
      {(lessons?.length ?? 0) > 6 && (
        <p>
          <label>
            Find: <input class="find" value={wanted} onInput={(event) => setWanted(event.currentTarget.value)} />
          </label>
        </p>
      )}
      {fault !== "" && (
        <p class="finding error" role="alert">
          {fault}
        </p>
      )}
      <ul class="lesson-list">
        {shown.map((lesson) => (
          <li key={lesson.name}>
            <button type="button" class="lesson-name" onClick={() => open(lesson.name)}>
              {lesson.title}
            </button>
            <FirstLoom lesson={lesson} engine={engine} />
            {away && (
              <button type="button" class="word" onClick={() => void trying(async () => (await store.back(lesson.name), await list()))}>
                Bring it back
              </button>
            )}
          </li>
        ))}
      </ul>
      {lessons !== null && shown.length === 0 && wanted !== "" && <p>No lesson has these letters in its name.</p>}
      {!away && <AnotherLesson write={write} />}
      <p>
        {!away && <TakeIn store={store} taken={() => void list()} failed={setFault} />}{" "}
        {(anyAway || away) && (
          <button type="button" class="more" onClick={() => setAway(!away)}>
            {away ? "Your lessons" : "lessons you put away"}
          </button>
        )}
      </p>
    </main>
  );
}

function AnotherLesson({ write }: { write(title: string): Promise<void> }) {
  return (
    <p class="another">
      <label>
        Write another lesson:{" "}
        <input
          class="new-title"
          placeholder="its title"
          autocomplete="off"
          onKeyDown={(event) => {
            const title = event.currentTarget.value.trim();
            if (event.key === "Enter" && title !== "") void write(title);
          }}
        />
      </label>
    </p>
  );
}

/** Lesson files from elsewhere. */
function TakeIn({ store, taken, failed }: { readonly store: Store; taken(): void; failed(message: string): void }) {
  const input = useRef<HTMLInputElement>(null);
  return (
    <>
      <button type="button" class="more" onClick={() => input.current?.click()}>
        take in a lesson file
      </button>
      <input
        ref={input}
        type="file"
        accept=".toml"
        multiple
        hidden
        onChange={async (event) => {
          try {
            for (const { name, text } of await readFiles([...(event.currentTarget.files ?? [])])) await store.create(name, text);
            taken();
          } catch (error) {
            failed(error instanceof StoreError ? error.message : String(error));
          }
        }}
      />
    </>
  );
}

/** The first row of the first idea's loom, drawn when it comes into sight. */
function FirstLoom({ lesson, engine }: { readonly lesson: LessonEntry; readonly engine: EngineClient }) {
  const host = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const element = host.current!;
    const seen = new IntersectionObserver(([entry]) => {
      if (!entry!.isIntersecting) return;
      seen.disconnect();
      const opened = engine.open(lesson.text);
      void opened.call({ call: "loom", idea: 1, width: 560, style: "living" }).then((answer) => {
        opened.close();
        if ("result" in answer && "living" in answer.result) element.innerHTML = answer.result.living[0] ?? "";
      });
    });
    seen.observe(element);
    return () => seen.disconnect();
  }, [lesson.text, engine]);
  return <div ref={host} class="drawing loom first-loom" aria-hidden="true" />;
}
