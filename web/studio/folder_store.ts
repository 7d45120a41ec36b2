// Lessons in a folder, through the server of `fretloom studio` (docs/studio.md).

import {
  byTitle, StoreError,
  type Change, type Conflict, type Created, type Kept, type LessonEntry, type OutputFile, type OutputWanted, type PackAbout,
  type PackChoice, type Packing, type PackState, type Store, type StoreErrorKind, type Version,
} from "./store.js";

interface Session {
  readonly folder: string;
  readonly token: string;
}

/** What lies in the folder, without the texts. `state` is another one when anything of it changes. */
interface FolderState {
  readonly state: string;
  readonly lessons: readonly { readonly name: string; readonly version: string }[];
}

interface Refusal {
  readonly error: { readonly kind: string; readonly message: string };
}

const NO_SERVER = "Fretloom's server does not answer. Look whether it still runs in its window, and start it again if not.";
const KINDS: readonly string[] = ["gone", "full", "wrong", "busy", "away"] satisfies StoreErrorKind[];
/** Between two tries while the server does not answer, in milliseconds. */
const PAUSE = 2000;
/** Between two looks at what is new, for a window whose question does not wait at the server. */
const MOMENT = 700;

/** Calls of the server. A write carries the token of its run, which is asked for again when another run has come. */
class Server {
  session: Session;
  readonly #fetch: typeof fetch;

  constructor(session: Session, fetching: typeof fetch) {
    this.session = session;
    this.#fetch = fetching;
  }

  static async open(fetching: typeof fetch): Promise<Server> {
    const server = new Server({ folder: "", token: "" }, fetching);
    await server.#renew();
    return server;
  }

  get<T>(path: string, query: Record<string, string> = {}, signal?: AbortSignal): Promise<T> {
    return this.#json(() => this.#send(path, query, signal ? { signal } : {}));
  }

  async post<T>(path: string, body: unknown): Promise<T> {
    const send = (): Promise<Response> =>
      this.#send(path, {}, {
        method: "POST",
        headers: { "Content-Type": "application/json", "Fretloom-Token": this.session.token },
        body: JSON.stringify(body),
      });
    return this.#json(async () => {
      const response = await send();
      if (response.status !== 403) return response;
      await this.#renew();
      return send();
    });
  }

  async file(path: string, query: Record<string, string>): Promise<OutputFile> {
    const response = await this.#send(path, query, {});
    if (!response.ok) throw await refusalOf(response);
    const name = /filename="([^"]+)"/.exec(response.headers.get("Content-Disposition") ?? "")?.[1] ?? "lesson";
    return { name, blob: await response.blob() };
  }

  async #renew(): Promise<void> {
    this.session = await this.get<Session>("session");
  }

  async #json<T>(send: () => Promise<Response>): Promise<T> {
    const response = await send();
    // A conflict is an answer, too: it has the other text.
    if (!response.ok && response.status !== 409) throw await refusalOf(response);
    const answer = (await response.json()) as T | Refusal;
    if (answer !== null && typeof answer === "object" && "error" in answer) throw errorOf(answer);
    return answer as T;
  }

  async #send(path: string, query: Record<string, string>, init: RequestInit): Promise<Response> {
    const search = new URLSearchParams(query).toString();
    const send = this.#fetch;
    try {
      return await send(`/api/${path}${search === "" ? "" : `?${search}`}`, { ...init, cache: "no-store" });
    } catch (error) {
      if (init.signal?.aborted) throw error;
      throw new StoreError("away", NO_SERVER);
    }
  }
}

function errorOf({ error }: Refusal): StoreError {
  return new StoreError((KINDS.includes(error.kind) ? error.kind : "wrong") as StoreErrorKind, error.message);
}

async function refusalOf(response: Response): Promise<StoreError> {
  try {
    return errorOf((await response.json()) as Refusal);
  } catch {
    return new StoreError("away", NO_SERVER);
  }
}

function pause(time: number, signal: AbortSignal): Promise<void> {
  return new Promise((resolve) => {
    const timer = setTimeout(resolve, time);
    signal.addEventListener("abort", () => { clearTimeout(timer); resolve(); }, { once: true });
  });
}

/**
 * Runs `work` while this window holds the name, or tells it that another one does. A browser has six connections to a server
 * for all its windows: only one of them may wait on one.
 */
async function holding(name: string, work: (held: boolean) => Promise<void>): Promise<void> {
  const { locks } = globalThis.navigator ?? {};
  if (locks === undefined) return work(false);
  await locks.request(`fretloom-${name}`, { ifAvailable: true }, (lock) => work(lock !== null));
}

/**
 * Asks again and again for what is new. One window's question waits at the server until something is, the others' are
 * answered at once and asked again in a moment. A window that nobody sees asks nothing.
 */
function follow<T>(
  name: string,
  ask: (wait: "0" | "1", signal: AbortSignal) => Promise<T>,
  told: (news: T) => void | Promise<void>,
): () => void {
  const end = new AbortController();
  let round = new AbortController();
  const seen = (): boolean => typeof document === "undefined" || document.visibilityState !== "hidden";
  const look = (): void => {
    if (!seen()) round.abort();
  };
  const askOnce = async (held: boolean): Promise<void> => {
    round = new AbortController();
    try {
      const news = await ask(held ? "1" : "0", round.signal);
      if (!end.signal.aborted) await told(news);
    } catch {
      if (!round.signal.aborted) await pause(PAUSE, end.signal);
    }
  };
  const run = async (): Promise<void> => {
    while (!end.signal.aborted) {
      if (!seen()) {
        await new Promise<void>((resolve) => {
          document.addEventListener("visibilitychange", () => resolve(), { once: true });
          end.signal.addEventListener("abort", () => resolve(), { once: true });
        });
        continue;
      }
      let waited = false;
      await holding(name, (held) => askOnce((waited = held)));
      if (!waited) await pause(MOMENT, end.signal);
    }
  };
  if (typeof document !== "undefined") document.addEventListener("visibilitychange", look);
  end.signal.addEventListener("abort", () => {
    round.abort();
    if (typeof document !== "undefined") document.removeEventListener("visibilitychange", look);
  });
  void run();
  return () => end.abort();
}

export class FolderStore implements Store {
  readonly kind = "folder";
  readonly pack: Packing;
  readonly #server: Server;
  /** The version of every lesson as this page knows it. */
  readonly #known = new Map<string, string>();
  /** What this page itself is changing: news wait for it, so that its own changes are not told to it. */
  readonly #own = new Set<Promise<unknown>>();
  /** How many of them are done. */
  #done = 0;
  /** Whether this page knows all of the folder. */
  #listed = false;
  readonly #listeners = new Set<(changes: readonly Change[]) => void>();
  #unfollow: (() => void) | undefined;

  private constructor(server: Server) {
    this.#server = server;
    this.pack = {
      studentsPage: (name) => `/api/students?${new URLSearchParams({ name })}`,
      about: (name) => server.get<PackAbout>("pack/about", { name }),
      start: (name, choice: PackChoice) => server.post<void>("pack", { name, choice }),
      stop: () => server.post<void>("pack/stop", {}),
      watch: (listener) => {
        let after = -1;
        return follow(
          "pack",
          (wait, signal) => server.get<PackState>("pack", { after: String(after), wait }, signal),
          (state) => {
            if (state.number === after) return;
            after = state.number;
            listener(state);
          },
        );
      },
    };
  }

  /** `fetching`: for tests. */
  static async open(fetching: typeof fetch = (...request) => fetch(...request)): Promise<FolderStore> {
    return new FolderStore(await Server.open(fetching));
  }

  get where(): string {
    return this.#server.session.folder;
  }

  async list(): Promise<LessonEntry[]> {
    const { lessons } = await this.#server.get<{ lessons: LessonEntry[] }>("lessons");
    this.#known.clear();
    for (const { name, version } of lessons) this.#known.set(name, version);
    this.#listed = true;
    return lessons.sort(byTitle);
  }

  async read(name: string): Promise<Kept> {
    const kept = await this.#server.get<Kept>("lesson", { name });
    this.#known.set(name, kept.version);
    return kept;
  }

  write(name: string, text: string, base: string | null): Promise<Version | Conflict> {
    return this.#change(async () => {
      const answer = await this.#server.post<Version | Conflict>("write", { name, text, base });
      this.#known.set(name, "conflict" in answer ? answer.conflict.version : answer.version);
      return answer;
    });
  }

  create(wish: string, text: string): Promise<Created> {
    return this.#change(async () => this.#met(await this.#server.post<Created>("create", { name: wish, text })));
  }

  copy(name: string): Promise<Created> {
    return this.#change(async () => this.#met(await this.#server.post<Created>("copy", { name })));
  }

  away(name: string): Promise<Created> {
    return this.#move("away", name);
  }

  back(name: string): Promise<Created> {
    return this.#move("back", name);
  }

  watch(listener: (changes: readonly Change[]) => void): () => void {
    this.#listeners.add(listener);
    this.#unfollow ??= this.#follow();
    return () => {
      this.#listeners.delete(listener);
      if (this.#listeners.size > 0) return;
      this.#unfollow?.();
      this.#unfollow = undefined;
    };
  }

  output(name: string, wanted: OutputWanted): Promise<OutputFile> {
    const query: Record<string, string> = { name };
    for (const [key, value] of Object.entries(wanted)) if (value !== undefined) query[key] = String(value);
    return this.#server.file("output", query);
  }

  #follow(): () => void {
    let after = "";
    let asked = 0;
    return follow(
      "changes",
      (wait, signal) => {
        asked = this.#done;
        return this.#server.get<FolderState>("changes", { after, wait }, signal);
      },
      async ({ state, lessons }) => {
        const isOlder = this.#own.size > 0 || asked !== this.#done;
        while (this.#own.size > 0) await Promise.allSettled(this.#own);
        // What was told before this page's own change was done may not have it yet, and is asked for anew.
        after = isOlder ? "" : state;
        if (isOlder) return;
        const changes = this.#news(lessons);
        if (changes.length === 0) return;
        for (const listener of [...this.#listeners]) listener(changes);
      },
    );
  }

  /** What differs from what this page knows: before it has asked for a list, that is only what it has read. */
  #news(lessons: FolderState["lessons"]): Change[] {
    const isFirst = !this.#listed;
    this.#listed = true;
    const changes: Change[] = [];
    const there = new Set<string>();
    for (const { name, version } of lessons) {
      there.add(name);
      const known = this.#known.get(name);
      if (known === version) continue;
      this.#known.set(name, version);
      if (!isFirst || known !== undefined) changes.push({ name, version });
    }
    for (const name of [...this.#known.keys()]) {
      if (there.has(name)) continue;
      this.#known.delete(name);
      changes.push({ name, version: null });
    }
    return changes;
  }

  #move(call: "away" | "back", name: string): Promise<Created> {
    return this.#change(async () => {
      const moved = this.#met(await this.#server.post<Created>(call, { name }));
      this.#known.delete(name);
      return moved;
    });
  }

  #met(created: Created): Created {
    this.#known.set(created.name, created.version);
    return created;
  }

  async #change<T>(work: () => Promise<T>): Promise<T> {
    const running = work();
    this.#own.add(running);
    try {
      return await running;
    } finally {
      this.#own.delete(running);
      ++this.#done;
    }
  }
}
