// Why a value was refused, with what could stand there instead as a word to press.

import type { EngineError } from "../engine/calls.js";
import type { LessonDocument } from "./lesson_document.js";

interface RefusedProps {
  readonly document: LessonDocument;
  /** Where the value was to stand. */
  readonly at: string;
  readonly why: EngineError;
  /** After the repair has been put there. */
  mended(): void;
}

export function Refused({ document, at, why, mended }: RefusedProps) {
  const { message, repair, mend } = why;
  return (
    <p class="finding error" role="alert">
      {asSentence(message)}{" "}
      {repair && (
        <>
        <button
          type="button"
          class="word repair"
          onClick={() => {
            const { key, value } = placeOf(at, repair);
            void document.edit({ call: "edit", key, value }).then((refused) => refused ?? mended());
          }}
        >
          {mend}
        </button>
        .
        </>
      )}
    </p>
  );
}

export function asSentence(message: string): string {
  return `${message.charAt(0).toUpperCase()}${message.slice(1)}.`;
}

/** A repair is a value for the key itself, or `key = value` for one beside it. */
function placeOf(at: string, repair: string): { key: string; value: string } {
  const [, beside, value] = /^([a-z_.]+) = (.+)$/s.exec(repair) ?? [];
  if (beside === undefined || value === undefined) return { key: at, value: repair };
  return { key: at.replace(/[^.]*$/, beside), value };
}
