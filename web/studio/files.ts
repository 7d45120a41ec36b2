// Files that the browser saves and opens for the teacher.

import { StoreError } from "./store.js";

export interface OpenedFile {
  readonly name: string;
  readonly text: string;
}

const LARGEST = 1024 * 1024;

export function saveFile(name: string, content: Blob | string): void {
  const blob = typeof content === "string" ? new Blob([content], { type: "application/toml" }) : content;
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  // The browser reads it after the click; a minute is enough to begin.
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

/** Lets the teacher choose lesson files; none if the choice is given up. */
export function chooseFiles(): Promise<readonly File[]> {
  return new Promise((resolve) => {
    const input = document.createElement("input");
    input.type = "file";
    input.multiple = true;
    input.accept = ".toml";
    input.onchange = () => resolve([...(input.files ?? [])]);
    input.addEventListener("cancel", () => resolve([]));
    input.click();
  });
}

/** Lesson files that were chosen, or dropped on the page. */
export async function readFiles(files: readonly File[]): Promise<readonly OpenedFile[]> {
  return Promise.all(
    files.map(async (file) => {
      if (file.size > LARGEST) throw new StoreError("wrong", `${file.name} is larger than 1 MB, which no lesson is.`);
      try {
        const text = new TextDecoder("utf-8", { fatal: true }).decode(await file.arrayBuffer());
        return { name: file.name, text };
      } catch {
        throw new StoreError("wrong", `${file.name} is not a text that can be read, so it is no lesson file.`);
      }
    }),
  );
}
