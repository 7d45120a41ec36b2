// The small sheet under a word: a line to type in, and what else the word could say, each with what it would do.

import { signal } from "@preact/signals";
import { useEffect, useLayoutEffect, useRef, useState } from "preact/hooks";
import type { Choice, EngineError } from "../engine/calls.js";
import type { LessonDocument } from "./lesson_document.js";
import { Refused } from "./refused.js";

interface OpenWord {
  readonly document: LessonDocument;
  readonly key: string;
  readonly text: string;
  readonly element: HTMLElement;
}

/** The word that is open. */
export const wordAt = signal<OpenWord | null>(null);

export function openWord(document: LessonDocument, key: string, text: string, element: HTMLElement): void {
  wordAt.value = { document, key, text, element };
}

export function WordSheet() {
  const word = wordAt.value;
  return word === null ? null : <Sheet key={word.key} word={word} />;
}

/** What stands closest to the typed words comes first. */
function matching(choices: readonly Choice[], typed: string): readonly Choice[] {
  const wanted = typed.trim().toLowerCase();
  if (wanted === "") return choices;
  const rank = ({ says }: Choice) => {
    const at = says.toLowerCase().indexOf(wanted);
    return at === 0 ? 0 : at > 0 && says[at - 1] === " " ? 1 : at > 0 ? 2 : 3;
  };
  return choices.filter((choice) => rank(choice) < 3).sort((a, b) => rank(a) - rank(b));
}

/** The one choice that the typed words begin; of numbers, only what is typed whole. */
function begun(choices: readonly Choice[], typed: string): Choice | undefined {
  const wanted = typed.trim().toLowerCase();
  if (wanted === "" || /\d/.test(wanted)) return undefined;
  const all = choices.filter(({ says }) => says.toLowerCase().startsWith(wanted));
  return all.length === 1 ? all[0] : all.find(({ says }) => says.toLowerCase() === wanted);
}

function Sheet({ word }: { readonly word: OpenWord }) {
  const { document, key, text, element } = word;
  const sheet = useRef<HTMLDivElement>(null);
  const input = useRef<HTMLInputElement>(null);
  const [choices, setChoices] = useState<readonly Choice[] | null>(null);
  const [typed, setTyped] = useState("");
  const [at, setAt] = useState(-1);
  const [fault, setFault] = useState<EngineError | null>(null);

  useEffect(() => {
    let open = true;
    void document.lesson.call({ call: "choices", key }).then((answer) => {
      if (open && "result" in answer) setChoices(answer.result.choices);
    });
    return () => {
      open = false;
    };
  }, [document, key]);

  // Under the word, and wholly on the screen.
  useLayoutEffect(() => {
    const place = () => {
      const box = element.getBoundingClientRect();
      const self = sheet.current!;
      const left = Math.max(8, Math.min(box.left, window.innerWidth - self.offsetWidth - 8));
      self.style.left = `${left + window.scrollX}px`;
      self.style.top = `${box.bottom + window.scrollY + 6}px`;
    };
    place();
    sheet.current!.scrollIntoView({ block: "nearest" });
    window.addEventListener("resize", place);
    return () => window.removeEventListener("resize", place);
  }, [element, choices]);
  // At once, where it stands: whoever types goes on typing.
  useLayoutEffect(() => input.current?.focus({ preventScroll: true }), []);

  const list = choices === null ? [] : matching(choices, typed);

  const close = (back = true) => {
    wordAt.value = null;
    void document.try(null);
    // The sentence may have been written anew: the word of the same key takes the focus.
    // Whoever has gone on meanwhile is left where they are.
    if (!back) return;
    requestAnimationFrame(() => {
      const page = element.ownerDocument;
      if (wordAt.peek() === null && page.activeElement === page.body) (element.isConnected ? element : wordOf(key))?.focus();
    });
  };
  const look = (index: number) => {
    setAt(index);
    setFault(null);
    const choice = list[index];
    void document.try(choice ? { call: "edit", key, value: choice.value } : null);
  };
  const keep = async (words: string, choice?: Choice) => {
    if (choice === undefined && words.trim() === "") return close();
    const what = choice === undefined ? { words } : { value: choice.value };
    const refused = await document.edit({ call: "edit", key, ...what });
    if (refused === null) close();
    else setFault(refused);
  };

  useEffect(() => {
    const away = (event: PointerEvent) => {
      if (!sheet.current?.contains(event.target as Node) && !element.contains(event.target as Node)) close(false);
    };
    window.addEventListener("pointerdown", away);
    return () => window.removeEventListener("pointerdown", away);
  });

  return (
    <div ref={sheet} class="word-sheet" role="dialog" aria-label={`Change ${text}`}>
      <input
        ref={input}
        role="combobox"
        aria-expanded={list.length > 0}
        aria-controls="word-choices"
        aria-activedescendant={list[at] ? `choice-${at}` : undefined}
        aria-label={`In place of ${text}`}
        placeholder={text}
        value={typed}
        autocomplete="off"
        spellcheck={false}
        onInput={(event) => {
          setTyped(event.currentTarget.value);
          setAt(-1);
          setFault(null);
        }}
        onKeyDown={(event) => {
          // Whoever types quickly is ahead of what was drawn.
          const now = event.currentTarget.value;
          if (event.key === "Escape") close();
          else if (event.key === "Enter") void keep(now, now === typed && list[at] !== undefined ? list[at] : begun(choices ?? [], now));
          else if (event.key === "ArrowDown") look(Math.min(list.length - 1, at + 1));
          else if (event.key === "ArrowUp") look(Math.max(-1, at - 1));
          else if (event.key === "Tab") return close();
          else return;
          event.preventDefault();
          event.stopPropagation();
        }}
      />
      {fault !== null && (
        <Refused document={document} at={key} why={fault} mended={close} />
      )}
      <ul id="word-choices" role="listbox" aria-label="What it could say">
        {list.map((choice, i) => (
          <li
            key={choice.value}
            id={`choice-${i}`}
            role="option"
            aria-selected={i === at}
            class={i === at ? "at" : ""}
            ref={(item) => {
              if (item && i === at) item.scrollIntoView({ block: "nearest" });
            }}
            onPointerEnter={(event) => event.pointerType === "mouse" && look(i)}
            onClick={() => void keep(typed, choice)}
          >
            <b>{choice.says}</b> <span>{choice.does}</span>
          </li>
        ))}
      </ul>
      <p class="hint">
        {choices === null ? "One moment." : list.length > 0 ? "Arrows choose, Enter keeps, Esc leaves it as it was." : "Enter keeps what you typed, Esc leaves it as it was."}
      </p>
    </div>
  );
}

/** The word of a key, wherever it stands now. */
export function wordOf(key: string): HTMLElement | null {
  return document.querySelector<HTMLElement>(`.word[data-key="${CSS.escape(key)}"]`);
}
