// The band of a page: what the engine says that bass, chords and drums play, as plain tones. Rendered by the browser's own
// audio graph beside the page's thread, into a loop as long as the lick's.

import type { ResultOf } from "../engine/engine.js";
import { rate } from "./deck.js";

type Vamp = ResultOf<"vamp">;
type PartName = Vamp["parts"][number]["name"];
interface Note {
  readonly key: number;
  readonly velocity: number;
  /** Seconds. */
  readonly at: number;
  readonly length: number;
}

/** Tails that ring over the loop's end are added to its beginning. */
const tail = 1;

const hertz = (key: number): number => 440 * 2 ** ((key - 69) / 12);

/** Noise that is the same each time (xorshift). */
function noise(audio: BaseAudioContext): AudioBuffer {
  const buffer = audio.createBuffer(1, rate / 2, rate);
  const samples = buffer.getChannelData(0);
  let state = 0x2545f491;
  for (let i = 0; i < samples.length; ++i) {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    samples[i] = state / 2 ** 31;
  }
  return buffer;
}

/** What a drum of the General MIDI percussion map is made of: a tone that falls, and noise through a filter. */
interface Drum {
  readonly tone?: readonly [from: number, to: number, seconds: number, level: number];
  readonly noise?: readonly [kind: BiquadFilterType, hertz: number, seconds: number, level: number];
}
const hat = (seconds: number): Drum => ({ noise: ["highpass", 7500, seconds, 0.3] });
const tom = (from: number): Drum => ({ tone: [from, from * 0.7, 0.25, 0.6] });
const drums: Readonly<Record<number, Drum>> = {
  36: { tone: [130, 46, 0.22, 1] },
  37: { noise: ["bandpass", 1900, 0.04, 0.8] },
  38: { tone: [210, 160, 0.12, 0.35], noise: ["highpass", 1500, 0.16, 0.55] },
  41: tom(95),
  42: hat(0.05),
  44: hat(0.04),
  45: tom(130),
  46: hat(0.25),
  48: tom(175),
  49: { noise: ["highpass", 4500, 0.9, 0.4] },
  51: { noise: ["highpass", 6500, 0.35, 0.25] },
};

class Band {
  readonly #audio: OfflineAudioContext;
  readonly #noise: AudioBuffer;

  constructor(audio: OfflineAudioContext) {
    this.#audio = audio;
    this.#noise = noise(audio);
  }

  play(part: PartName, note: Note): void {
    const level = (note.velocity / 127) ** 1.5;
    if (part === "drums") this.#drum(note, level);
    else if (part === "bass") this.#tone(note, level * 0.5, "triangle", 900, 0.006, 0.9, 0);
    else if (part === "guitar") this.#tone(note, level * 0.14, "sawtooth", 1800, 0.004, 0.5, 0.35);
    else if (part === "keys") this.#tone(note, level * 0.2, "triangle", 2600, 0.006, 0.8, -0.35);
    else this.#tone(note, level * 0.1, "sawtooth", 700, 0.4, 8, 0);
  }

  #envelope(at: number, level: number, attack: number, decay: number, length: number): GainNode {
    const gain = this.#audio.createGain();
    gain.gain.setValueAtTime(0, at);
    gain.gain.linearRampToValueAtTime(level, at + attack);
    gain.gain.setTargetAtTime(0, at + attack, decay / 3);
    if (Number.isFinite(length)) gain.gain.setTargetAtTime(0, at + Math.max(attack, length), 0.02);
    return gain;
  }

  #tone(note: Note, level: number, type: OscillatorType, bright: number, attack: number, decay: number, side: number): void {
    const source = this.#audio.createOscillator();
    source.type = type;
    source.frequency.value = hertz(note.key);
    const filter = this.#audio.createBiquadFilter();
    filter.type = "lowpass";
    filter.frequency.setValueAtTime(bright * 2, note.at);
    filter.frequency.setTargetAtTime(bright / 2, note.at + attack, decay / 4);
    const pan = this.#audio.createStereoPanner();
    pan.pan.value = side;
    source.connect(filter).connect(this.#envelope(note.at, level, attack, decay, note.length)).connect(pan).connect(this.#audio.destination);
    source.start(note.at);
    source.stop(note.at + note.length + 0.15);
  }

  #drum(note: Note, level: number): void {
    const drum = drums[note.key];
    if (drum?.tone !== undefined) {
      const [from, to, seconds, loud] = drum.tone;
      const source = this.#audio.createOscillator();
      source.frequency.setValueAtTime(from, note.at);
      source.frequency.exponentialRampToValueAtTime(to, note.at + seconds / 2);
      source.connect(this.#envelope(note.at, level * loud * 0.8, 0.001, seconds, Infinity)).connect(this.#audio.destination);
      source.start(note.at);
      source.stop(note.at + seconds * 2);
    }
    if (drum?.noise !== undefined) {
      const [kind, centre, seconds, loud] = drum.noise;
      const source = this.#audio.createBufferSource();
      source.buffer = this.#noise;
      source.loop = true;
      const filter = this.#audio.createBiquadFilter();
      filter.type = kind;
      filter.frequency.value = centre;
      source.connect(filter).connect(this.#envelope(note.at, level * loud * 0.5, 0.001, seconds, Infinity)).connect(this.#audio.destination);
      source.start(note.at);
      source.stop(note.at + seconds * 2);
    }
  }
}

/**
 * The vamp under a lick of `frames` at a tempo. It begins with it, at the start of the vamp's bar `bar` (from 0), and
 * comes round as often as it must; it starts anew with each turn of a loop, so that the same chord is under the same
 * note each time.
 */
export async function renderVamp(vamp: Vamp, bpm: number, frames: number, loop: boolean, bar: number): Promise<AudioBuffer> {
  const audio = new OfflineAudioContext(2, frames + tail * rate, rate);
  const band = new Band(audio);
  const beat = 60 / bpm;
  const seconds = frames / rate;
  const first = (((bar % vamp.bars) + vamp.bars) % vamp.bars) * vamp.beats_per_bar;
  for (let turn = 0; (turn * vamp.beats - first) * beat < seconds; ++turn) {
    for (const { name, notes } of vamp.parts) {
      for (const { onset, length, key, velocity } of notes) {
        const at = (turn * vamp.beats + onset - first) * beat;
        if (at < -1e-6 || at >= seconds - 1e-6) continue;
        band.play(name, { key, velocity, at: Math.max(0, at), length: length * beat });
      }
    }
  }
  const rendered = await audio.startRendering();
  const sound = new AudioBuffer({ numberOfChannels: 2, length: frames, sampleRate: rate });
  let peak = 0;
  for (const side of [0, 1]) {
    const samples = rendered.getChannelData(side);
    if (loop) for (let i = 0; i < tail * rate; ++i) samples[i % frames]! += samples[frames + i]!;
    for (let i = 0; i < frames; ++i) peak = Math.max(peak, Math.abs(samples[i]!));
    sound.copyToChannel(samples.subarray(0, frames), side);
  }
  // As loud at its loudest as the other parts are.
  if (peak > 0) for (const side of [0, 1]) scale(sound.getChannelData(side), 1 / peak);
  return sound;
}

function scale(samples: Float32Array, by: number): void {
  for (let i = 0; i < samples.length; ++i) samples[i]! *= by;
}
