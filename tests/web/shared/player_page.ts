// A page with nothing but the player, for its test.

import { EngineClient } from "../../../web/shared/engine_client.js";
import { Player, type PlayOptions } from "../../../web/shared/player.js";

declare global {
  interface Window {
    rig: typeof rig;
  }
}

const client = new EngineClient(new Worker("/engine_worker.js"));
const audio = new AudioContext({ sampleRate: 48000 });

/** What leaves the player, frame by frame of the audio clock, left and right. */
const chunks: { readonly frame: number; readonly left: Float32Array; readonly right: Float32Array }[] = [];
const recorder = `registerProcessor("recorder", class extends AudioWorkletProcessor {
  process([[left, right]]) {
    if (left) this.port.postMessage({ frame: currentFrame, left: left.slice(), right: (right ?? left).slice() });
    return true;
  }
});`;
const tap = audio.createGain();
tap.connect(audio.destination);
Object.defineProperty(audio, "destination", { value: tap });
const recording = audio.audioWorklet.addModule(URL.createObjectURL(new Blob([recorder], { type: "text/javascript" }))).then(() => {
  const node = new AudioWorkletNode(audio, "recorder", { numberOfOutputs: 0, channelCount: 2, channelCountMode: "explicit" });
  node.port.onmessage = ({ data }) => void chunks.push(data);
  tap.connect(node);
});
const player = new Player(client, audio);
player.levels = { lick: 1, click: 1, vamp: 1, countIn: 1 };

const rig = {
  client,
  audio,
  player,
  ready: Promise.all([client.start("/engine.wasm"), recording, audio.resume()]),
  chunks,
  /** Recorded frames from one of the audio clock to another; NaN where none was recorded. */
  recorded(from: number, to: number): Float32Array {
    const out = new Float32Array(to - from).fill(Number.NaN);
    for (const { frame, left } of chunks) {
      for (let i = 0; i < left.length; ++i) {
        const at = frame + i - from;
        if (at >= 0 && at < out.length) out[at] = left[i]!;
      }
    }
    return out;
  },
  notes: [] as { note: number | undefined; at: number; due: number }[],
  tempos: [] as { bpm: number; at: number }[],
  turns: [] as number[],
  ends: [] as (string | undefined)[],
  async play(options: PlayOptions): Promise<number> {
    await rig.ready;
    const began = performance.now();
    const before = audio.currentTime;
    await new Promise<void>((resolve) => {
      const wait = setInterval(() => {
        if (player.decks.length === 0) return;
        clearInterval(wait);
        resolve();
      }, 1);
      void player.play(options);
    });
    const [deck] = player.decks;
    // From the press to the first frame that sounds.
    return Math.max(performance.now() - began, (deck!.start / 48000 - before) * 1000);
  },
  sleep: (ms: number) => new Promise((resolve) => setTimeout(resolve, ms)),
};
player.onNote = (note) => rig.notes.push({ note, at: performance.now(), due: player.heardAt(performance.now()) });
player.onTempo = (bpm) => rig.tempos.push({ bpm, at: audio.currentTime });
player.onTurn = (turns) => rig.turns.push(turns);
player.onEnd = (fault) => rig.ends.push(fault);
window.rig = rig;
