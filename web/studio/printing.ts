// Printing gives the handout, page by page, not the page on the screen.

import type { LessonDocument } from "./lesson_document.js";

async function lay(document: LessonDocument): Promise<boolean> {
  const answer = await document.lesson.call({ call: "pages", paper: "a4" });
  if ("error" in answer) return false;
  let sheets = window.document.getElementById("handout");
  if (sheets === null) {
    sheets = window.document.createElement("div");
    sheets.id = "handout";
    window.document.body.append(sheets);
  }
  sheets.innerHTML = answer.result.pages.map((page) => `<div class="paper">${page}</div>`).join("");
  return true;
}

export async function printHandout(document: LessonDocument): Promise<void> {
  if (await lay(document)) window.print();
}

/** Keeps the handout ready for the browser's own command to print, which does not wait. */
export function keepReadyToPrint(document: LessonDocument): () => void {
  let timer = 0;
  const soon = () => {
    window.clearTimeout(timer);
    timer = window.setTimeout(() => void lay(document), 1500);
  };
  const end = document.kept.subscribe(soon);
  return () => {
    end();
    window.clearTimeout(timer);
    window.document.getElementById("handout")?.remove();
  };
}
