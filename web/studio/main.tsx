import "../shared/theme.css";
import "../shared/drawing.css";
import "./hand.css";
import "./studio.css";
import { effect, signal } from "@preact/signals";
import { render } from "preact";
import type { CallName } from "../engine/engine.js";
import { followChanges, hear, soundBy, soundNow, sounding, stop } from "./hearing.js";
import firstLesson from "../../demos/climbing-sixes.toml";
import { keepFocusSeen } from "./keep_focus_seen.js";
import { keysWork } from "./keys.js";
import { KeysHelp, keysShown } from "./keys_help.js";
import { LessonDocument } from "./lesson_document.js";
import { LessonPage } from "./lesson_page.js";
import { LessonsPage } from "./lessons_page.js";
import type { OpenLesson } from "./open_lesson.js";
import { keepReadyToPrint } from "./printing.js";
import { Saving } from "./saving.js";
import type { Store } from "./store.js";
import { keepPage, openStore, startEngine } from "./surroundings.js";

const { engine, ready } = startEngine();
const opened = signal<OpenLesson | null>(null);
const fault = signal("");
let forget = () => {};
soundBy(engine);

// What a test waits for, and what it looks at.
const state = window.document.documentElement.dataset;
engine.onWork = (working) => (state["working"] = working ? "yes" : "no");
effect(() => {
  const lesson = opened.value;
  if (lesson !== null) state["kept"] = lesson.saving.state.value.is === "kept" ? "yes" : "no";
});
Object.assign(globalThis, {
  fretloomText: () => opened.peek()?.document.kept.peek().text ?? "",
  fretloomAsk: async (request: { call: CallName }) => (await opened.peek()?.document.lesson.calls(request as never))?.[0],
  fretloomSound: soundNow,
  fretloomWork: () => engine.work,
});

/** `name` is null for a lesson to begin with. */
async function open(store: Store, name: string | null): Promise<void> {
  await leave();
  const { text, version } = name === null ? { text: firstLesson, version: null } : await store.read(name);
  const document = new LessonDocument(engine, text);
  await document.read(text);
  const saving = new Saving(store, document, name, version);
  const endNaming = saving.name.subscribe((now) => {
    if (now !== null) history.replaceState(null, "", `#${encodeURIComponent(now)}`);
  });
  const endPrinting = keepReadyToPrint(document);
  const endFollowing = followChanges(document);
  forget = () => (endNaming(), endPrinting(), endFollowing());
  opened.value = { document, saving };
  window.document.title = `${document.kept.peek().sentences?.title || "A lesson"} · Fretloom`;
  window.scrollTo(0, 0);
}

async function leave(): Promise<void> {
  const lesson = opened.peek();
  if (lesson === null) return;
  stop();
  forget();
  await lesson.saving.close();
  opened.value = null;
  window.document.title = "Fretloom";
}

/** The address names the open lesson, so that a window that is loaded anew shows it again. */
const named = () => decodeURIComponent(location.hash.slice(1));

function Page({ store }: { readonly store: Store }) {
  const lesson = opened.value;
  const go = (name: string) => {
    if (name === named()) void leave();
    else location.hash = encodeURIComponent(name);
  };
  return (
    <>
      {fault.value !== "" && (
        <p class="finding error" role="alert">
          {fault.value}
        </p>
      )}
      {lesson === null ? (
        <LessonsPage store={store} engine={engine} open={go} />
      ) : (
        <LessonPage lesson={lesson} store={store} engine={engine} leave={() => go("")} open={go} />
      )}
      <KeysHelp />
    </>
  );
}

function keys(event: KeyboardEvent): void {
  const lesson = opened.peek();
  if (lesson === null || event.defaultPrevented || !keysWork.peek()) return;
  const { document, saving } = lesson;
  const control = event.ctrlKey || event.metaKey;
  const target = event.target as HTMLElement;
  const free = target === window.document.body || target.closest("button, input, select, textarea, [contenteditable], [tabindex]") === null;
  const idea = Number(target.closest<HTMLElement>("[data-idea]")?.dataset["idea"] ?? sounding.peek()?.idea ?? 1);
  if (control && event.key.toLowerCase() === "z") void (event.shiftKey ? document.redo() : document.undo());
  else if (control && event.key.toLowerCase() === "y") void document.redo();
  else if (control && event.key.toLowerCase() === "s") void saving.now();
  else if ((control && event.key === "Enter") || (free && event.key === " ")) hear(document, idea);
  else if (free && event.key === "?") keysShown.value = !keysShown.value;
  else return;
  event.preventDefault();
}

async function start(): Promise<void> {
  const [store] = await Promise.all([openStore(), ready]);
  const follow = async () => {
    fault.value = "";
    try {
      const name = named();
      if (name === "") await leave();
      else if (name !== opened.peek()?.saving.name.peek()) await open(store, name);
    } catch (error) {
      fault.value = error instanceof Error ? error.message : String(error);
    }
  };
  if (named() === "") {
    // A first lesson to hear and to change, not an empty page.
    const lessons = await store.list();
    if (lessons.length === 0) await open(store, null);
  } else await follow();
  window.addEventListener("hashchange", () => void follow());
  window.addEventListener("keydown", keys);
  keepFocusSeen(window);
  window.addEventListener("beforeunload", (event) => {
    const state = opened.peek()?.saving.state.peek().is;
    if (state === undefined || state === "kept") return;
    void opened.peek()!.saving.now();
    event.preventDefault();
  });
  render(<Page store={store} />, window.document.getElementById("page")!);
  window.document.documentElement.dataset["ready"] = "yes";
  keepPage();
}

start().catch((error: unknown) => {
  const text = error instanceof Error ? error.message : String(error);
  render(<main class="lessons"><h1>Fretloom</h1><p class="finding error">The page could not be started. {text}</p></main>, window.document.getElementById("page")!);
});
