// One rule behind somebody's notes: its sentence, its loom, the notes that do not follow it, and a word to take it.

import { useEffect, useRef } from "preact/hooks";
import type { ExplainAnswer } from "../engine/calls.js";
import { DrawingView } from "../shared/drawing.js";
import { useLesson } from "./surroundings_of_lesson.js";

interface ExplainedAnswerProps {
  readonly answer: ExplainAnswer;
  /** The one that Enter takes. */
  readonly first: boolean;
  take(): void;
}

export function ExplainedAnswer({ answer, first, take }: ExplainedAnswerProps) {
  const { engine } = useLesson();
  const host = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const view = new DrawingView(host.current!, { name: "Loom of this answer" });
    const lesson = engine.open(answer.lesson);
    void lesson.call({ call: "loom", idea: 1, width: Math.max(240, host.current!.clientWidth), style: "living" }).then((drawn) => {
      lesson.close();
      if (!("result" in drawn) || !("living" in drawn.result)) return;
      view.show(drawn.result);
      const misfit = answer.misfits[0];
      if (misfit !== undefined) view.ring({ note: misfit.note - 1 });
    });
    return () => view.clear();
  }, [engine, answer]);
  return (
    <div class="answer">
      <p>
        {answer.sentence}{" "}
        <button type="button" class="word" onClick={take} disabled={answer.text === null}>
          Take it
        </button>
        {first && <span class="hint"> or press Enter</span>}
      </p>
      {answer.misfits.length > 1 && (
        <ul class="misfits">
          {answer.misfits.map((misfit) => (
            <li key={misfit.note}>{misfit.sentence.charAt(0).toUpperCase() + misfit.sentence.slice(1)}.</li>
          ))}
        </ul>
      )}
      <div ref={host} class="loom" />
    </div>
  );
}
