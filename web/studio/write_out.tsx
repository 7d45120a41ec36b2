// What can be done with the lesson as a whole: copied, put away, written out.

import { useState } from "preact/hooks";
import { saveFile } from "./files.js";
import type { OpenLesson } from "./open_lesson.js";
import { printHandout } from "./printing.js";
import { StoreError, type Store } from "./store.js";

interface WriteOutProps {
  readonly lesson: OpenLesson;
  readonly store: Store;
  leave(): void;
  open(name: string): void;
}

export function WriteOut({ lesson, store, leave, open }: WriteOutProps) {
  const [fault, setFault] = useState("");
  const { document, saving } = lesson;
  const file = (saving.name.value ?? "lesson").split("/").at(-1)!;
  const trying = (what: () => Promise<void>) => () =>
    what().catch((error: unknown) => setFault(error instanceof StoreError ? error.message : String(error)));
  const text = async (call: "text_tab" | "musicxml", ending: string, type: string) => {
    const answer = await document.lesson.call(call === "text_tab" ? { call } : { call, speed: "goal" });
    if ("error" in answer) return setFault(answer.error.message);
    saveFile(`${file}.${ending}`, new Blob([(answer.result as { text: string }).text], { type }));
  };
  const midi = async () => {
    const answer = await document.lesson.call({ call: "midi" });
    if ("error" in answer) return setFault(answer.error.message);
    saveFile(`${file}.mid`, new Blob([answer.bytes.slice()], { type: "audio/midi" }));
  };
  const handout = async () => {
    if (store.output === undefined) return printHandout(document);
    const made = await store.output(await saving.keptName(), { format: "pdf" });
    saveFile(made.name, made.blob);
  };
  const word = (words: string, act: () => void) => (
    <button type="button" class="word" onClick={act}>
      {words}
    </button>
  );
  return (
    <section class="write-out" aria-label="The lesson as a whole">
      <p class="sentence">
        {word("Make a copy", trying(async () => {
          open((await store.copy(await saving.keptName())).name);
        }))}
        {", "}
        {word("put it away", trying(async () => {
          const name = await saving.keptName();
          await saving.close();
          await store.away(name);
          leave();
        }))}
        , or write it out: {word("the handout", trying(handout))}, {word("text tab", trying(() => text("text_tab", "txt", "text/plain")))},{" "}
        {word("MIDI", trying(midi))}, {word("MusicXML", trying(() => text("musicxml", "musicxml", "application/vnd.recordare.musicxml+xml")))} or{" "}
        {word("the lesson file", () => saveFile(`${file}.toml`, new Blob([document.kept.peek().text], { type: "application/toml" })))}.
      </p>
      {fault !== "" && (
        <p class="finding error" role="alert">
          {fault}
        </p>
      )}
    </section>
  );
}
