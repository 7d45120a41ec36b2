// Files that the browser saves and opens for the teacher.

import { StoreError } from "./store.js";

export interface OpenedFile {
  readonly name: string;
  readonly text: string;
}

const LARGEST = 1024 * 1024;

export function saveFile(name: string, blob: Blob): void {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(blob);
  link.download = name;
  link.click();
  // The browser reads it after the click; a minute is enough to begin.
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

/** Lesson files that the teacher chose. A StoreError for one that is none; then none of them is given. */
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
