// The idea in all twelve keys and all positions, as small necks.

import { useEffect, useState } from "preact/hooks";
import type { Placement } from "../engine/calls.js";
import { useLesson } from "./surroundings_of_lesson.js";

export function Everywhere({ idea }: { readonly idea: number }) {
  const { document } = useLesson();
  const [placements, setPlacements] = useState<readonly Placement[] | null>(null);
  const text = document.kept.value.text;
  useEffect(() => {
    let open = true;
    void document.lesson.call({ call: "everywhere", idea, feel: document.feelOf(idea) + 1, necks: true, width: 240 }).then((answer) => {
      if (open && "result" in answer) setPlacements(answer.result.placements);
    });
    return () => {
      open = false;
    };
  }, [document, idea, text]);
  if (placements === null) return <p class="hint">One moment.</p>;
  const keys = [...new Set(placements.map(({ key }) => key))];
  const go = async ({ key, from }: Placement) => {
    await document.edit({ call: "edit", key: `idea[${idea}].key`, words: key });
    await document.edit({ call: "edit", key: `idea[${idea}].layout.from`, words: String(from) });
  };
  return (
    <div class="everywhere">
      {keys.map((key) => (
        <section key={key} aria-label={key}>
          <h3>{key}</h3>
          <ul>
            {placements
              .filter((placement) => placement.key === key)
              .map((placement) => (
                <li key={placement.from} class={`${placement.playable ? "" : "faint"}${placement.home ? " home" : ""}`}>
                  <button type="button" disabled={!placement.playable} onClick={() => void go(placement)}>
                    from fret {placement.from}
                  </button>
                  {placement.neck && <div class="drawing neck" dangerouslySetInnerHTML={{ __html: placement.neck }} />}
                  {placement.reason && <p class="hint">{placement.reason}</p>}
                </li>
              ))}
          </ul>
        </section>
      ))}
    </div>
  );
}
