// The vamp as a lead-sheet line, one cell a bar, and who plays when.

import { useEffect, useState } from "preact/hooks";
import type { ResultOf } from "../engine/engine.js";
import { useLesson } from "./surroundings_of_lesson.js";
import { Words } from "./words.js";

type Vamp = ResultOf<"vamp">;

type PlayedNote = Vamp["parts"][number]["notes"][number];

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
  const place = (beats: number) => ((1000 * beats) / vamp.beats).toFixed(1);
  const marks = (notes: readonly PlayedNote[], more: (note: PlayedNote) => string) =>
    notes.map((note) => `M${place(note.onset)} 6${more(note)}`).join("");
  const bars = Array.from({ length: vamp.bars }, (_, i) => vamp.chords.filter(({ onset }) => bar(onset) === i));
  return (
    <>
      <ol class="bars" aria-label="Bars">
        {bars.map((chords, i) => (
          <li key={i}>{chords.length === 0 ? <span class="repeat">as before</span> : chords.map(({ name }, j) => <b key={j}>{name}</b>)}</li>
        ))}
      </ol>
      <div class="players" aria-label={`Who plays when: ${vamp.parts.map(({ name }) => name).join(", ")}`} role="img">
        {vamp.parts.map((part) => (
          <div key={part.name} class={`player ${part.name}`}>
            <span>{part.name}</span>
            <svg viewBox="0 0 1000 12" preserveAspectRatio="none" aria-hidden="true">
              <path class="tail" d={part.name === "drums" ? "" : marks(part.notes, ({ length }) => `h${place(length)}`)} />
              <path class="struck" d={marks(part.notes, () => "h0")} />
            </svg>
          </div>
        ))}
      </div>
    </>
  );
}
