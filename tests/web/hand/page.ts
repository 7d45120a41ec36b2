// The hands alone on a page: one idea of a lesson as loom and neck, with the engine in the page itself.

import { Engine } from "../../../web/engine/engine.js";
import type { CallName, Lesson, RequestOf } from "../../../web/engine/engine.js";
import type { LivingDrawing } from "../../../web/engine/calls.js";
import { LoomHand } from "../../../web/studio/loom_hand.js";
import { NeckHand } from "../../../web/studio/neck_hand.js";

interface Scene {
  text(): string;
  rule(): string;
  /** What the drawing shows now, which may be a preview. */
  shownRule(): string;
  readonly said: string[];
  readonly heard: number[];
  loom(): LivingDrawing | undefined;
  neck(): LivingDrawing | undefined;
  undo(): void;
  previews: number;
}

declare global {
  interface Window {
    start(text: string, idea: number, hand?: "left" | "right"): Promise<void>;
    scene: Scene;
  }
}

const engine = fetch("/engine.wasm").then(async (reply) => Engine.load(await reply.arrayBuffer()));

window.start = async (text, idea, hand = "right") => {
  const ready = await engine;
  const kept = ready.open(text);
  const trial = ready.open(text);
  const history: string[] = [];
  let shown = kept;
  const ask = <N extends CallName>(lesson: Lesson, request: RequestOf<N> & { readonly call: N }) => lesson.call(request);
  const place = (id: string) => document.querySelector<HTMLElement>(`#${id} .drawing`)!;
  const drawn: Record<string, LivingDrawing> = {};
  const draw = (lesson: Lesson) => {
    shown = lesson;
    const width = document.querySelector("#loom")!.clientWidth;
    const loom = ask(lesson, { call: "loom", idea, width, hands: true, style: "living" });
    const neck = ask(lesson, { call: "neck", idea, width, hands: true, style: "living", hand });
    for (const [id, answer, show] of [["loom", loom, looms.show.bind(looms)], ["neck", neck, necks.show.bind(necks)]] as const) {
      if ("error" in answer) continue;
      const drawing = answer.result as LivingDrawing;
      drawn[id] = drawing;
      place(id).innerHTML = drawing.living.join("");
      show(drawing as never);
    }
  };
  const keep = async (change: RequestOf<"replace"> | RequestOf<"edit">, says: string) => {
    const { result } = ask(kept, { call: "text" }) as { result: { text: string } };
    history.push(result.text);
    kept.call(change as never);
    scene.said.push(says);
    draw(kept);
  };
  const ruleOf = (lesson: Lesson) => {
    const answer = ask(lesson, { call: "notes" });
    return "result" in answer && "ideas" in answer.result ? (answer.result.ideas[idea - 1]?.rule ?? "") : "";
  };
  const scene: Scene = {
    text: () => (ask(kept, { call: "text" }) as { result: { text: string } }).result.text,
    rule: () => ruleOf(kept),
    shownRule: () => ruleOf(shown),
    said: [],
    heard: [],
    loom: () => drawn["loom"],
    neck: () => drawn["neck"],
    undo() {
      kept.call({ call: "replace", text: history.pop()! });
      draw(kept);
    },
    previews: 0,
  };
  const host = {
    lesson: { call: (request: never) => Promise.resolve(kept.call(request)) } as never,
    idea,
    feel: () => 1,
    preview(to: string | null) {
      ++scene.previews;
      if (to !== null) trial.call({ call: "replace", text: to });
      draw(to === null ? kept : trial);
    },
    commit: (to: string, says: string) => keep({ call: "replace", text: to }, says),
    lettersWork: () => true,
    listen: (note: number) => void scene.heard.push(note),
    behind: () => looms.behind,
    previewValue(key: string, value: string | null) {
      ++scene.previews;
      trial.call({ call: "replace", text: scene.text() });
      if (value !== null) trial.call({ call: "edit", key, value });
      draw(value === null ? kept : trial);
    },
    commitValue: (key: string, value: string, says: string) => keep({ call: "edit", key, value }, says),
  };
  const looms = new LoomHand(document.querySelector("#loom .over")!, host);
  const necks = new NeckHand(document.querySelector("#neck .over")!, host);
  window.scene = scene;
  draw(kept);
};
