// The keystroke of bench/engine_bench.cpp in V8: node bench/engine_bench.mjs [MODULE]
// Prints milliseconds, the median and the 95th percentile of 200 keystrokes after 20 that are not counted.
import { readFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { performance } from "node:perf_hooks";
import { fileURLToPath } from "node:url";
import { load } from "../tests/engine/load.mjs";

const root = join(dirname(fileURLToPath(import.meta.url)), "..");
const path = process.argv[2] ?? join(root, "build/wasm/engine.wasm");

const bytes = readFileSync(path);
const started = performance.now();
const compiled = await WebAssembly.compile(bytes);
console.log(`compile ${(performance.now() - started).toFixed(1)} ms, ${bytes.length} bytes, imports ${WebAssembly.Module.imports(compiled).length}`);

const text = (first) =>
  'format = 1\ntitle = "Bench"\nkey = "E dorian"\ntempo = { slow = 60, goal = 120 }\n' +
  '[layout]\nkind = "per-string"\nnotes = 3\nfrom = 12\n[vamp]\nchords = "Em7 | A7"\n' +
  [first, "1 2 3 2", "3 2 1 2 + 1 2 3 2", "1 2 3", "1 2 3 1 2 3 + 1 2 3 2"]
    .map((rule) => `[[idea]]\nname = "One of five"\ncell = "${rule}"\nnotes_per_beat = [4, 6]\n`)
    .join("");
const texts = [text("1 3 2 3 + 2 1"), text("1 3 2 1 + 2 1")];

const engine = await load(root, path);
const lesson = engine.open(texts[0]);
const steps = [
  (turn) => ({ call: "replace", text: texts[turn % 2] }),
  () => ({ call: "sentences" }),
  () => ({ call: "findings" }),
  () => ({ call: "notes" }),
  () => ({ call: "loom", idea: 1, width: 900 }),
  () => ({ call: "neck", idea: 1, width: 900 }),
  () => ({ call: "sheet", idea: 1, width: 900 }),
];
const times = new Map([["keystroke", []]]);
for (let turn = 0; turn < 220; ++turn) {
  let all = 0;
  for (const step of steps) {
    const request = step(turn);
    const begin = performance.now();
    const answer = lesson.call(request);
    const took = performance.now() - begin;
    if ("error" in answer) throw new Error(answer.error.message);
    all += took;
    if (!times.has(request.call)) times.set(request.call, []);
    if (turn >= 20) times.get(request.call).push(took);
  }
  if (turn >= 20) times.get("keystroke").push(all);
}
for (const [name, list] of times) {
  list.sort((a, b) => a - b);
  console.log(`${name}: median ${list[list.length >> 1].toFixed(2)} ms, 95th percentile ${list[Math.floor(list.length * 0.95)].toFixed(2)} ms`);
}

const begin = performance.now();
const heard = lesson.call({ call: "voice", idea: 1, piece: "demo", bpm: 60, times: 2 });
const took = (performance.now() - begin) / 1000;
console.log(`voice: ${(heard.result.frames / 48000).toFixed(1)} s of sound in ${(took * 1000).toFixed(0)} ms, ${(heard.result.frames / 48000 / took).toFixed(0)} x real time`);

// 200 notes as somebody would paste them: bench/insight_bench.cpp has the same natively.
const long = engine.open(
  'format = 1\ntitle = "Bench"\nkey = "E dorian"\nlayout = { from = 12 }\n[[idea]]\ncell = "1 2 3 2 1 3 2 3 1 2 + 3 2 1 2 3 1 2 3 1 2"\nback = "retrograde"\n',
);
const phrase = long.call({ call: "notes" }).result.ideas[0].notes.slice(0, 200);
for (const [name, wrong] of [["clean", false], ["one wrong note in ten", true]]) {
  const text = phrase.map(({ string, fret }, i) => `${string}: ${wrong && i % 10 === 7 ? fret + 1 : fret}`).join(" | ");
  const list = Array.from({ length: 20 }, () => {
    const began = performance.now();
    const { result } = long.call({ call: "explain", text });
    if (result.answers.length === 0) throw new Error("no answer");
    return performance.now() - began;
  }).sort((a, b) => a - b);
  console.log(`explain, ${phrase.length} notes, ${name}: median ${list[10].toFixed(1)} ms, most ${list.at(-1).toFixed(1)} ms`);
}
