// Where lessons are kept: in a folder behind `fretloom studio` (folder_store.ts), or in this browser (browser_store.ts).

export interface LessonEntry {
  /** Names the lesson in its store. In a folder: the file's path without its ending, "put-away/sixes". */
  readonly name: string;
  /** As the lesson says; its name where it says none. */
  readonly title: string;
  readonly text: string;
  /** Another text has another version. */
  readonly version: string;
  /** Put away: kept, and out of the way. */
  readonly away: boolean;
}

export interface Version {
  readonly version: string;
}

export interface Kept extends Version {
  readonly text: string;
}

/** Somebody else wrote the lesson meanwhile. Nothing was written; both texts are there for the teacher to choose. */
export interface Conflict {
  readonly conflict: Kept;
}

export interface Created extends Version {
  readonly name: string;
}

/** A lesson that was changed elsewhere: in another window, or by another program. */
export interface Change {
  readonly name: string;
  /** null: it is no longer there. */
  readonly version: string | null;
}

export interface Store {
  readonly kind: "folder" | "browser";
  /** For people: the folder's path, or "this browser". */
  readonly where: string;

  /** All lessons by title, those that are put away too. */
  list(): Promise<LessonEntry[]>;
  read(name: string): Promise<Kept>;
  /** `base` is the version that the text was made from; null: the lesson must not be there yet. */
  write(name: string, text: string, base: string | null): Promise<Version | Conflict>;
  /** Under a free name that is like `wish`: a title or a file name. */
  create(wish: string, text: string): Promise<Created>;
  copy(name: string): Promise<Created>;
  /** Both give the lesson's new name. */
  away(name: string): Promise<Created>;
  back(name: string): Promise<Created>;
  /** Tells what others change, never what this store was asked to. Returns what ends it. */
  watch(listener: (changes: readonly Change[]) => void): () => void;

  /** Only where a program can do it. */
  readonly pack?: Packing;
  /** A file made of the lesson as it is kept, to be saved by the browser. */
  output?(name: string, wanted: OutputWanted): Promise<OutputFile>;
}

/** What a pack shall hold; what is left out is as it was in the last pack, or as `fretloom pack` has it. */
export interface PackChoice {
  /** "handout", "tab", "midi", "musicxml", "drawings", "audio", "captions", "words", "plan"; empty: all. */
  readonly only?: readonly string[];
  /** "demo", "loop", "click", "ladder", "bursts", "band" */
  readonly what?: readonly string[];
  /** "mp3", "flac", "opus", "wav" */
  readonly format?: readonly string[];
  /** Beats a minute as text ("60", "92.5"); empty: each idea's slow and goal; ["ladder"]: every rung. */
  readonly tempo?: readonly string[];
  readonly paper?: "a4" | "letter";
  /** Of the practice plan: minutes a day and days. */
  readonly minutes?: number;
  readonly days?: number;
}

/** The pack of a lesson as it lies on the disk. */
export interface PackMade {
  /** Paths for people. */
  readonly folder: string;
  readonly teacher: string;
  readonly zip: string;
  readonly start: string;
  /** How many files it holds. */
  readonly files: number;
}

export interface PackAbout {
  /** Where it will lie, or lies. */
  readonly folder: string;
  readonly choice: Required<PackChoice>;
  /** null: none was made yet. */
  readonly made: PackMade | null;
  /** What changed in the music since the last pack, a line each; empty where nothing did, or there is none. */
  readonly changes: readonly string[];
}

export interface PackState {
  /** Grows with every change of the state. */
  readonly number: number;
  readonly state: "idle" | "running" | "done" | "stopped" | "failed";
  /** The lesson; empty while idle. */
  readonly name: string;
  /** 0 to 1 */
  readonly part: number;
  /** A sentence: what was made, or why it was not. */
  readonly message: string;
  /** Once it is done. */
  readonly made: PackMade | null;
  readonly changes: readonly string[];
  /** What the teacher should know: files that stay because somebody changed them, and so on. */
  readonly notes: readonly string[];
}

export interface Packing {
  /** Where the page lies that students get, with the lesson as it is kept. */
  studentsPage(name: string): string;
  about(name: string): Promise<PackAbout>;
  /** One pack at a time. */
  start(name: string, choice: PackChoice): Promise<void>;
  /** The old pack stays as it was. */
  stop(): Promise<void>;
  watch(listener: (state: PackState) => void): () => void;
}

export interface OutputWanted {
  readonly format: "pdf" | "txt" | "mid" | "musicxml" | "mxl" | "wav" | "flac" | "opus" | "mp3";
  /** For sound: the idea's number in the lesson, notes a beat (0: the first) and tempo (its goal if left out). */
  readonly idea?: number;
  readonly feel?: number;
  readonly bpm?: number;
  /** For PDF: "a4" if left out. */
  readonly paper?: "a4" | "letter";
}

export interface OutputFile {
  readonly name: string;
  readonly blob: Blob;
}

export type StoreErrorKind =
  | "gone" // the lesson is no longer there
  | "full" // there is no room for it
  | "wrong" // it cannot be done with this lesson or this name
  | "busy" // another pack is being made
  | "away"; // the server, or the browser's storage, does not answer

/** Why something was not done: a plain sentence for a teacher. Stores reject with nothing else. */
export class StoreError extends Error {
  readonly kind: StoreErrorKind;

  constructor(kind: StoreErrorKind, message: string) {
    super(message);
    this.name = "StoreError";
    this.kind = kind;
  }
}

/** Lessons in the order of a list. */
export function byTitle(a: LessonEntry, b: LessonEntry): number {
  return a.title.localeCompare(b.title, "en", { numeric: true }) || (a.name < b.name ? -1 : a.name > b.name ? 1 : 0);
}
