// Title, names and notes: text that is edited where it stands.

import { useEffect, useRef } from "preact/hooks";
import { useLesson } from "./surroundings_of_lesson.js";

interface ProseFieldProps {
  /** Where the text stands in the lesson. */
  readonly at: string;
  readonly text: string;
  /** Said to a screen reader, and shown where the text is empty. */
  readonly label: string;
  readonly class: string;
}

export function ProseField({ at, text, label, class: name }: ProseFieldProps) {
  const { document } = useLesson();
  const field = useRef<HTMLSpanElement>(null);
  // The field belongs to whoever types in it; what the file says comes in when nobody does.
  useEffect(() => {
    const element = field.current!;
    if (element !== element.ownerDocument.activeElement && element.textContent !== text) element.textContent = text;
  }, [text]);
  return (
    <span
      ref={field}
      class={`prose-field ${name}`}
      role="textbox"
      tabIndex={0}
      contenteditable="plaintext-only"
      aria-label={label}
      data-label={label}
      spellcheck
      onInput={(event) => void document.edit({ call: "edit", key: at, words: event.currentTarget.textContent ?? "" }, at)}
      onKeyDown={(event) => {
        if (event.key !== "Enter" && event.key !== "Escape") return;
        event.preventDefault();
        event.currentTarget.blur();
      }}
    />
  );
}
