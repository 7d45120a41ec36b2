// Lessons in this browser: for the page without a server. IndexedDB, so that a write and the look before it are one step
// for all windows.

import {
  byTitle, StoreError,
  type Change, type Conflict, type Created, type Kept, type LessonEntry, type Store, type Version,
} from "./store.js";
import { titleOf } from "./title.js";

/** A lesson as it is kept. */
interface Row {
  readonly name: string;
  readonly text: string;
  readonly away: boolean;
}

const DATABASE = "fretloom";
const TABLE = "lessons";
/** As the folder's limit: src/lesson reads no more. */
const LARGEST = 1024 * 1024;

const NO_STORAGE =
  "This browser does not let the page keep lessons, as in a private window. Write the lesson out as a file before you close the page.";
const FULL = "This browser has no room for the lesson. Write it out as a file, and remove others.";
const TOO_LARGE = "The lesson is larger than 1 MB, the most that is kept.";

/** 64 bits that tell texts apart (FNV-1a's two halves with different starts); no secret hangs on it. */
export function versionOf(text: string): string {
  let a = 0x811c9dc5;
  let b = 0x9747b28c;
  for (let i = 0; i < text.length; ++i) {
    const unit = text.charCodeAt(i);
    a = Math.imul(a ^ unit, 0x01000193);
    b = Math.imul(b ^ unit ^ (a >>> 13), 0x5bd1e995);
  }
  const hex = (word: number): string => (word >>> 0).toString(16).padStart(8, "0");
  return hex(a) + hex(b) + text.length.toString(16);
}

/** "Climbing sixes" and "climbing-sixes.toml" give climbing-sixes, as the folder's files are named. */
export function slugOf(wish: string): string {
  const plain = wish.replace(/\.toml$/i, "").normalize("NFD").replace(/[\u0300-\u036f]/g, "").toLowerCase();
  return plain.replace(/[^a-z0-9]+/g, "-").slice(0, 48).replace(/^-+|-+$/g, "") || "lesson";
}

function entryOf({ name, text, away }: Row): LessonEntry {
  return { name, title: titleOf(text) || name, text, version: versionOf(text), away };
}

function gone(name: string): StoreError {
  return new StoreError("gone", `The lesson ${name} is no longer here. Another window may have taken it away.`);
}

function errorOf(cause: DOMException | null): StoreError {
  return cause?.name === "QuotaExceededError" ? new StoreError("full", FULL) : new StoreError("away", NO_STORAGE);
}

function open(): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    let request: IDBOpenDBRequest;
    try {
      request = indexedDB.open(DATABASE, 1);
    } catch {
      reject(new StoreError("away", NO_STORAGE));
      return;
    }
    request.onupgradeneeded = () => request.result.createObjectStore(TABLE, { keyPath: "name" });
    request.onsuccess = () => {
      const database = request.result;
      database.onversionchange = () => database.close();
      resolve(database);
    };
    request.onerror = () => reject(errorOf(request.error));
  });
}

/** One step for all windows: reads, decides, writes. */
interface Step {
  get(name: string, then: (row: Row | undefined) => void): void;
  all(then: (rows: readonly Row[]) => void): void;
  put(row: Row): void;
  fail(error: StoreError): void;
}

export class BrowserStore implements Store {
  readonly kind = "browser";
  readonly where = "this browser";
  readonly #database: IDBDatabase;
  readonly #channel = typeof BroadcastChannel === "undefined" ? undefined : new BroadcastChannel(DATABASE);

  private constructor(database: IDBDatabase) {
    this.#database = database;
  }

  static async open(): Promise<BrowserStore> {
    return new BrowserStore(await open());
  }

  async list(): Promise<LessonEntry[]> {
    const rows = await this.#step<readonly Row[]>("readonly", (step, give) => step.all(give));
    return rows.map(entryOf).sort(byTitle);
  }

  read(name: string): Promise<Kept> {
    return this.#step<Kept>("readonly", (step, give) =>
      step.get(name, (row) => {
        if (row === undefined) step.fail(gone(name));
        else give({ text: row.text, version: versionOf(row.text) });
      }),
    );
  }

  async write(name: string, text: string, base: string | null): Promise<Version | Conflict> {
    if (text.length > LARGEST) throw new StoreError("wrong", TOO_LARGE);
    const version = versionOf(text);
    const answer = await this.#step<Version | Conflict>("readwrite", (step, give) =>
      step.get(name, (row) => {
        if (row === undefined && base !== null) return step.fail(gone(name));
        const there = row === undefined ? null : versionOf(row.text);
        if (row !== undefined && there !== base && there !== version) {
          return give({ conflict: { text: row.text, version: there! } });
        }
        step.put({ name, text, away: row?.away ?? false });
        give({ version });
      }),
    );
    if ("version" in answer) this.#tell([{ name, version }]);
    return answer;
  }

  create(wish: string, text: string): Promise<Created> {
    if (text.length > LARGEST) return Promise.reject(new StoreError("wrong", TOO_LARGE));
    return this.#add((rows, give) => give({ name: freeName(slugOf(wish), rows), text, away: false }));
  }

  copy(name: string): Promise<Created> {
    return this.#add((rows, give, fail) => {
      const row = rows.find((one) => one.name === name);
      if (row === undefined) fail(gone(name));
      else give({ name: freeName(name, rows), text: row.text, away: false });
    });
  }

  away(name: string): Promise<Created> {
    return this.#move(name, true);
  }

  back(name: string): Promise<Created> {
    return this.#move(name, false);
  }

  watch(listener: (changes: readonly Change[]) => void): () => void {
    const told = ({ data }: MessageEvent<readonly Change[]>): void => listener(data);
    this.#channel?.addEventListener("message", told);
    return () => this.#channel?.removeEventListener("message", told);
  }

  /** Ends what a page holds open; for tests. */
  close(): void {
    this.#channel?.close();
    this.#database.close();
  }

  async #move(name: string, away: boolean): Promise<Created> {
    const moved = await this.#step<Created>("readwrite", (step, give) =>
      step.get(name, (row) => {
        if (row === undefined) return step.fail(gone(name));
        step.put({ ...row, away });
        give({ name, version: versionOf(row.text) });
      }),
    );
    this.#tell([moved]);
    return moved;
  }

  async #add(
    choose: (rows: readonly Row[], give: (row: Row) => void, fail: (error: StoreError) => void) => void,
  ): Promise<Created> {
    const created = await this.#step<Created>("readwrite", (step, give) =>
      step.all((rows) =>
        choose(
          rows,
          (row) => {
            step.put(row);
            give({ name: row.name, version: versionOf(row.text) });
          },
          step.fail,
        ),
      ),
    );
    this.#tell([created]);
    return created;
  }

  #tell(changes: readonly Change[]): void {
    this.#channel?.postMessage(changes.map(({ name, version }) => ({ name, version })));
  }

  /** Runs a step; what it gives is given once the browser has kept all of it. */
  #step<T>(mode: IDBTransactionMode, work: (step: Step, give: (value: T) => void) => void): Promise<T> {
    return new Promise((resolve, reject) => {
      let transaction: IDBTransaction;
      try {
        transaction = this.#database.transaction(TABLE, mode, { durability: "strict" });
      } catch {
        reject(new StoreError("away", NO_STORAGE));
        return;
      }
      const table = transaction.objectStore(TABLE);
      let result: { readonly value: T } | undefined;
      let failure: StoreError | undefined;
      const step: Step = {
        get: (name, then) => {
          const request = table.get(name) as IDBRequest<Row | undefined>;
          request.onsuccess = () => then(request.result);
        },
        all: (then) => {
          const request = table.getAll() as IDBRequest<Row[]>;
          request.onsuccess = () => then(request.result);
        },
        put: (row) => void table.put(row),
        fail: (error) => {
          failure = error;
          transaction.abort();
        },
      };
      transaction.oncomplete = () => (result === undefined ? reject(new StoreError("away", NO_STORAGE)) : resolve(result.value));
      transaction.onabort = () => reject(failure ?? errorOf(transaction.error));
      work(step, (value) => (result = { value }));
    });
  }
}

/** `wish`, or with the first number that makes it free. */
function freeName(wish: string, rows: readonly Row[]): string {
  const taken = new Set(rows.map(({ name }) => name));
  const stem = wish.replace(/-\d+$/, "");
  let name = wish;
  for (let number = 2; taken.has(name); ++number) name = `${stem}-${number}`;
  return name;
}
