// The vamp as a lead-sheet line, one cell a bar, and who plays when.

import { useEffect, useState } from "preact/hooks";
import type { ResultOf } from "../engine/engine.js";
import { useLesson } from "./surroundings_of_lesson.js";
import { Words } from "./words.js";

type Vamp = ResultOf<"vamp">;

const PLAYERS = { bass: "bass", guitar: "guitar", keys: "keys", drone: "drone", drums: "drums" } as const;

export function VampLine() {
  const { document } = useLesson();
  const [vamp, setVamp] = useState<Vamp | null>(null);
  const { text, sentences } = document.shown.value;
  const first = document.ideas.value.find(({ sound }) => sound)?.number;
  useEffect(() => {
    if (first === undefined) return;
    let open = true;
    void document.engine.call({ call: "vamp", idea: first }).then((answer) => {
      if (open && "result" in answer) setVamp(answer.result);
    });
    return () => {
      open = false;
    };
  }, [document, text, first]);
  const rhythm = sentences?.more.filter(({ key }) => key === "vamp.rhythm" || key === "vamp.swing") ?? [];
  const said = sentences?.lesson.filter(({ key }) => key === "vamp.chords" || key === "vamp.rhythm" || key === "vamp.swing") ?? [];
  const words = (key: string) => [...said, ...rhythm].find((span) => span.key === key);
  const chords = words("vamp.chords");
  const rhythmWord = words("vamp.rhythm");
  const swing = words("vamp.swing");
  return (
    <section class="vamp" aria-label="The vamp">
      <h2>The vamp</h2>
      {vamp !== null && <LeadSheet vamp={vamp} />}
      <p class="sentence">
        {chords && (
          <>
            The chords are <Words of={[chords]} />
          </>
        )}
        {rhythmWord && (
          <>
            , in the rhythm <Words of={[rhythmWord]} />
          </>
        )}
        {swing && (
          <>
            , swung <Words of={[swing]} />
          </>
        )}
        .
      </p>
    </section>
  );
}

function LeadSheet({ vamp }: { readonly vamp: Vamp }) {
  const bar = (beat: number) => Math.floor(beat / vamp.beats_per_bar);
  const bars = Array.from({ length: vamp.bars }, (_, i) => vamp.chords.filter(({ onset }) => bar(onset) === i));
  return (
    <>
      <ol class="bars" aria-label="Bars">
        {bars.map((chords, i) => (
          <li key={i}>{chords.length === 0 ? <span class="repeat">as before</span> : chords.map(({ name }, j) => <b key={j}>{name}</b>)}</li>
        ))}
      </ol>
      <svg class="players" viewBox={`0 0 1000 ${vamp.parts.length * 16 + 4}`} preserveAspectRatio="none" aria-hidden="true">
        {vamp.parts.map((part, row) => (
          <path
            key={part.name}
            class={part.name}
            d={part.notes
              .map(({ onset, length }) => {
                const x = (1000 * onset) / vamp.beats;
                const width = Math.max(2, (1000 * Math.min(length, vamp.beats - onset)) / vamp.beats - 2);
                return `M${x.toFixed(1)} ${row * 16 + 4}h${part.name === "drums" ? 3 : width.toFixed(1)}v8h-${part.name === "drums" ? 3 : width.toFixed(1)}z`;
              })
              .join("")}
          />
        ))}
      </svg>
      <p class="players-words hint">{vamp.parts.map(({ name }) => PLAYERS[name]).join(", ")}, from the top line down</p>
    </>
  );
}
