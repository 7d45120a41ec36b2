// Renders a plan with the voice's WebAssembly module.
// usage: node render_voice.mjs VOICE.wasm PLAN OUT
// PLAN: lines `begin BASS VOICING PALM COLOUR FRAMES`, `string HZ`, `note ONSET END STRING FRET TOUCH UP ACCENT SEED RING VIBRATO LEVEL PALM`.
// OUT: chunk by chunk 4096 left and 4096 right 32-bit floats.
import { readFileSync, writeFileSync } from 'node:fs';

const [, , wasmPath, planPath, outPath] = process.argv;
const module = new WebAssembly.Module(readFileSync(wasmPath));
if (WebAssembly.Module.imports(module).length !== 0) throw new Error('the module wants imports');
const voice = new WebAssembly.Instance(module).exports;

let frames = 0;
for (const line of readFileSync(planPath, 'utf8').split('\n')) {
  const [word, ...rest] = line.trim().split(/\s+/);
  const numbers = rest.map(Number);
  if (word === 'begin') {
    voice.fl_begin(numbers[0], numbers[1], numbers[2], numbers[3]);
    frames = numbers[4];
  } else if (word === 'string') {
    if (!voice.fl_string(numbers[0])) throw new Error('too many strings');
  } else if (word === 'note') {
    if (!voice.fl_note(...numbers.slice(0, 10))) throw new Error('too many notes');
    voice.fl_touch(numbers[10], numbers[11]);
  }
}
if (voice.fl_start() < 0) throw new Error('too many events');

const started = process.hrtime.bigint();
const chunk = 4096;
const out = [];
for (let done = 0; done < frames; done += chunk) {
  voice.fl_render(chunk);
  for (const at of [voice.fl_left(), voice.fl_right()]) {
    out.push(Buffer.from(new Uint8Array(voice.memory.buffer, at, 4 * chunk)));
  }
}
const seconds = Number(process.hrtime.bigint() - started) / 1e9;
writeFileSync(outPath, Buffer.concat(out));
console.log(`${(frames / 48000 / seconds).toFixed(0)} x real time, ${voice.memory.buffer.byteLength} bytes of memory`);
