// The WebAssembly module in Node, held against the native driver byte by byte, both against the schema (ajv, JSON
// Schema 2020-12), and the TypeScript around it against the compiler. Paths come from the environment:
//   FRETLOOM_ROOT             the checkout
//   FRETLOOM_ENGINE_WASM      the module
//   FRETLOOM_ENGINE_DRIVER    the native driver (driver.cpp)
import assert from "node:assert/strict";
import { spawnSync } from "node:child_process";
import { readFileSync } from "node:fs";
import { join } from "node:path";
import test from "node:test";
import Ajv2020 from "ajv/dist/2020.js";
import { load } from "./load.mjs";
import { demos, edits, questions, wrong } from "./requests.mjs";

const root = process.env.FRETLOOM_ROOT;
const module = readFileSync(process.env.FRETLOOM_ENGINE_WASM);
const engine = await load(root, process.env.FRETLOOM_ENGINE_WASM);

/** What a script of requests is answered: [{reply, bytes}], one for each that opens nothing. */
function natively(script) {
  const records = [];
  for (const step of script) {
    const text = Buffer.from(typeof step === "string" ? step : "open" in step ? `open ${step.open}` : JSON.stringify(step));
    const length = Buffer.alloc(4);
    length.writeUInt32LE(text.length);
    records.push(length, text);
  }
  const run = spawnSync(process.env.FRETLOOM_ENGINE_DRIVER, { input: Buffer.concat(records), maxBuffer: 1 << 30 });
  assert.equal(run.status, 0, `${run.stderr}`);
  const answers = [];
  let at = 0;
  const record = () => {
    const length = run.stdout.readUInt32LE(at);
    at += 4 + length;
    return run.stdout.subarray(at - length, at);
  };
  while (at < run.stdout.length) answers.push({ reply: record().toString(), bytes: record() });
  return answers;
}

function inModule(script) {
  const answers = [];
  let lesson = engine.open("");
  for (const step of script) {
    if (typeof step !== "string" && "open" in step) {
      lesson.close();
      lesson = engine.open(step.open);
      continue;
    }
    const reply = lesson.raw(typeof step === "string" ? step : JSON.stringify(step));
    answers.push({ reply, bytes: Buffer.from(lesson.rawBytes()) });
  }
  lesson.close();
  return answers;
}

const schemaOf = (name) => ({ $id: name, ...JSON.parse(readFileSync(join(root, "docs", name), "utf8")) });
const schema = schemaOf("engine.schema.json");
const ajv = new Ajv2020({ strict: false });
ajv.addSchema([schemaOf("notes.schema.json"), schema]);
const isRequest = (name) => ajv.getSchema(`engine.schema.json#/properties/${name}/properties/request`);
const isResult = (name) => ajv.getSchema(`engine.schema.json#/properties/${name}/properties/result`);
const isError = ajv.getSchema("engine.schema.json#/$defs/error");
const valid = (check, value, what) => assert.ok(check(value), `${what}: ${JSON.stringify(check.errors?.slice(0, 3))}`);

/** Runs a script in both and gives the replies that are errors. */
function compare(script) {
  const native = natively(script);
  const here = inModule(script);
  const asked = script.filter((step) => typeof step === "string" || !("open" in step));
  assert.equal(native.length, asked.length);
  let errors = 0;
  asked.forEach((step, i) => {
    const what = typeof step === "string" ? step.slice(0, 80) : JSON.stringify(step);
    assert.ok(here[i].reply === native[i].reply, `${what}\nmodule: ${here[i].reply.slice(0, 400)}\nnative: ${native[i].reply.slice(0, 400)}`);
    assert.ok(here[i].bytes.equals(native[i].bytes), `${what}: other bytes`);
    const reply = JSON.parse(here[i].reply);
    if ("error" in reply) {
      ++errors;
      valid(isError, reply.error, what);
    } else {
      valid(isRequest(step.call), step, what);
      valid(isResult(step.call), reply.result, what);
    }
  });
  return { asked: asked.length, errors };
}

test("the schema has the calls that there are", () => {
  const [{ reply }] = inModule([{ call: "calls" }]);
  assert.deepEqual(JSON.parse(reply).result.calls, Object.keys(schema.properties));
  assert.deepEqual(schema.required, Object.keys(schema.properties));
});

test("the module of a page's first moment has all calls but explain", async () => {
  const first = await load(root, process.env["FRETLOOM_ENGINE_WASM"].replace(/engine\.wasm$/, "engine_first.wasm"));
  const { result } = first.open("").call({ call: "calls" });
  assert.deepEqual(result.calls, Object.keys(schema.properties).filter((name) => name !== "explain"));
});

test("the module needs nothing of the page", async () => {
  assert.deepEqual(WebAssembly.Module.imports(await WebAssembly.compile(module)), []);
});

for (const { name, text } of demos(root)) {
  test(`${name}: every call is answered with the same bytes`, () => {
    const { errors } = compare([{ open: text }, ...questions(text), { call: "replace", text }, { call: "text" }]);
    assert.equal(errors, 0);
  });
}

test("wrong requests are refused, with the same words", () => {
  const texts = demos(root).map((demo) => demo.text);
  const { asked, errors } = compare([{ open: texts[0] }, ...wrong]);
  assert.equal(errors, asked);
  const unreadable = [{ open: "title = " }, { call: "sentences" }, { call: "sheet", idea: 1 }, { call: "midi" }];
  compare([...unreadable, { call: "findings" }, { call: "notes" }, { call: "replace", text: "\u0000" }]);
});

test("200 random edits give the same bytes", () => {
  const { asked, errors } = compare(edits(demos(root).map((demo) => demo.text), 200, 20261126));
  assert.ok(asked > 1200);
  assert.ok(errors > 20 && errors < asked / 2, `${errors} errors of ${asked}`);
});

test("typed calls give what they say", () => {
  const lesson = engine.open(demos(root)[1].text);
  const edited = lesson.call({ call: "edit", key: "tempo.goal", value: "144" });
  assert.ok("result" in edited && edited.result.text.includes("144"));
  const midi = lesson.call({ call: "midi" });
  assert.equal(Buffer.from(midi.bytes.subarray(0, 4)).toString(), "MThd");
  assert.equal(midi.bytes.length, midi.result.bytes);
  assert.ok("error" in lesson.call({ call: "sheet", idea: 200 }));
  lesson.close();
  lesson.close();
});

test("handles know nothing of each other, and give their memory back", () => {
  const [first, second] = demos(root).map((demo) => demo.text);
  const a = engine.open(first);
  const b = engine.open(second);
  const alone = inModule([{ open: first }, { call: "notes" }])[0].reply;
  b.raw('{"call": "edit", "key": "tempo.goal", "value": "99"}');
  assert.equal(a.raw('{"call": "notes"}'), alone);
  a.close();
  b.close();
  const size = () => engine.memoryBytes();
  for (let i = 0; i < 20; ++i) inModule([{ open: first }, { call: "sheet", idea: 1, width: 700 }]);
  const before = size();
  for (let i = 0; i < 60; ++i) inModule([{ open: first }, { call: "sheet", idea: 1, width: 700 }]);
  assert.equal(size(), before);
});
