import "./student.css";
import { el, put } from "./dom.js";
import { embeddedLesson, startEngine } from "./embedded.js";
import { viewOf } from "./lesson_view.js";
import { LessonWords } from "./lesson_words.js";
import { PracticePage } from "./practice_page.js";
import { ProgressStore } from "./progress.js";

declare global {
  interface Window {
    /** For tests. */
    practice?: PracticePage;
  }
}

async function start(root: HTMLElement): Promise<void> {
  const text = embeddedLesson();
  const client = await startEngine();
  const lesson = client.open(text);
  const view = await viewOf(lesson);
  if (typeof view === "string") return put(root, el("main", {}, el("h1", {}, "This lesson cannot be shown"), el("p", {}, view)));
  // In a turn of its own: it takes as long as all that the page does before.
  await new Promise((resolve) => setTimeout(resolve));
  const audio = new AudioContext({ sampleRate: 48000, latencyHint: "interactive" });
  await new Promise((resolve) => setTimeout(resolve));
  const page = new PracticePage(client, audio, lesson, new LessonWords(lesson, text), view, new ProgressStore(view.id));
  put(root, page.element);
  await page.restore();
  window.practice = page;
  page.player.warm(lesson, view.ideas[0]!.number);
}

start(document.getElementById("page")!).catch((error: unknown) => {
  const why = error instanceof Error ? error.message : String(error);
  put(document.getElementById("page")!, el("main", {}, el("h1", {}, "This page needs a newer browser"), el("p", {}, why)));
});

/** Where the page is hosted it can be installed, and is kept for when there is no network. One on a disk needs neither. */
function settle(): void {
  const name = document.querySelector<HTMLMetaElement>("meta[name=beside]")?.content;
  // On a disk, and where the studio shows it, it has no place of its own.
  if (name === undefined || self.origin === "null") return;
  document.head.append(el("link", { rel: "manifest", href: `${name}.webmanifest` }));
  // The worker keeps this page alone: lessons that lie in one folder leave each other be.
  if ("serviceWorker" in navigator)
    void navigator.serviceWorker.register(`${name}-worker.js`, { scope: location.pathname }).catch(() => undefined);
}
settle();
