// The band of a page, as the engine lays it out: bass and guitar by the string voice, drums, keys and drone by the page's
// kit of sampled sounds, or as plain tones where there is none. One turn of the vamp is mixed by the browser's own audio
// graph beside the page's thread, and laid under a lick round and round.

import type { Answer } from "../engine/engine.js";
import { crossFrames, rate } from "./deck.js";
import type { HitSound, Kit, Sample } from "./kit.js";

export type BandTurn = Exclude<Answer<"band">, { readonly error: unknown }>;
type Hit = BandTurn["result"]["hits"][number];

/** A hit as a plain tone plays it; in seconds. */
interface Tone {
  readonly key: number;
  readonly level: number;
  readonly at: number;
  readonly length: number;
}

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

/** One turn of the band in an audio graph that is not heard. */
class Turn {
  readonly #audio: OfflineAudioContext;
  readonly #noise: AudioBuffer;
  readonly #frames: number;

  /** `frames` of the turn, with room for what rings beyond it. */
  constructor(frames: number, ring: number) {
    this.#frames = frames;
    this.#audio = new OfflineAudioContext(2, frames + ring, rate);
    this.#noise = noise(this.#audio);
  }

  /** What rings beyond the end goes on at the beginning. */
  async mixed(): Promise<readonly [Float32Array, Float32Array]> {
    const rendered = await this.#audio.startRendering();
    const side = (index: number): Float32Array => {
      const all = rendered.getChannelData(index);
      for (let i = this.#frames; i < all.length; ++i) all[i % this.#frames]! += all[i]!;
      return all.subarray(0, this.#frames);
    };
    return [side(0), side(1)];
  }

  strings(samples: Float32Array<ArrayBuffer>, gain: number, pan: number): void {
    const buffer = this.#audio.createBuffer(1, samples.length, rate);
    buffer.copyToChannel(samples, 0);
    this.#source(buffer, 1, gain, pan).source.start(0);
  }

  sample(hit: Hit, { buffer, attack, level, pan, speed }: Sample): void {
    const { source, gain } = this.#source(buffer, speed, hit.level * level, pan);
    const early = Math.round(hit.frame - attack);
    const begin = early < 0 ? early + this.#frames : early;
    const loud = hit.level * level;
    if (hit.rise > 0) gain.gain.setValueCurveAtTime(quarter(hit.rise, (x) => loud * Math.sin(x)), begin / rate, hit.rise / rate);
    source.start(begin / rate);
    // Two curves may not overlap.
    const falls = Math.max(begin + hit.end - early, begin + hit.rise + 1);
    const over = begin + buffer.length / speed;
    if (falls < over) {
      gain.gain.setValueCurveAtTime(quarter(hit.fall, (x) => loud * Math.cos(x)), falls / rate, hit.fall / rate);
      source.stop((falls + hit.fall) / rate);
    }
  }

  tone({ role, key, velocity }: HitSound, hit: Hit): void {
    // A level is the square of a velocity; tones are as loud as its power of 1.5.
    const level = ((velocity / 127) ** 2 * hit.level) ** 0.75;
    const note: Tone = { key, level, at: hit.frame / rate, length: (hit.end - hit.frame) / rate };
    if (role === "drums") this.#drum(note);
    else if (role === "keys") this.#tone(note, 0.2, "triangle", 2600, 0.006, 0.8, -0.35);
    else this.#tone(note, 0.1, "sawtooth", 700, 0.4, 8, 0);
  }

  #source(buffer: AudioBuffer, speed: number, level: number, side: number): { readonly source: AudioBufferSourceNode; readonly gain: GainNode } {
    const source = this.#audio.createBufferSource();
    source.buffer = buffer;
    source.playbackRate.value = speed;
    const gain = this.#audio.createGain();
    gain.gain.value = level;
    const pan = this.#audio.createStereoPanner();
    pan.pan.value = side;
    source.connect(gain).connect(pan).connect(this.#audio.destination);
    return { source, gain };
  }

  #envelope(at: number, level: number, attack: number, decay: number, length: number): GainNode {
    const gain = this.#audio.createGain();
    gain.gain.setValueAtTime(0, at);
    gain.gain.linearRampToValueAtTime(level, at + attack);
    gain.gain.setTargetAtTime(0, at + attack, decay / 3);
    if (Number.isFinite(length)) gain.gain.setTargetAtTime(0, at + Math.max(attack, length), 0.02);
    return gain;
  }

  #tone({ key, at, length, level }: Tone, loud: number, type: OscillatorType, bright: number, attack: number, decay: number, side: number): void {
    const source = this.#audio.createOscillator();
    source.type = type;
    source.frequency.value = hertz(key);
    const filter = this.#audio.createBiquadFilter();
    filter.type = "lowpass";
    filter.frequency.setValueAtTime(bright * 2, at);
    filter.frequency.setTargetAtTime(bright / 2, at + attack, decay / 4);
    const pan = this.#audio.createStereoPanner();
    pan.pan.value = side;
    source.connect(filter).connect(this.#envelope(at, level * loud, attack, decay, length)).connect(pan).connect(this.#audio.destination);
    source.start(at);
    source.stop(at + length + 0.15);
  }

  #drum({ key, at, level }: Tone): void {
    const drum = drums[key];
    if (drum?.tone !== undefined) {
      const [from, to, seconds, loud] = drum.tone;
      const source = this.#audio.createOscillator();
      source.frequency.setValueAtTime(from, at);
      source.frequency.exponentialRampToValueAtTime(to, at + seconds / 2);
      source.connect(this.#envelope(at, level * loud * 0.8, 0.001, seconds, Infinity)).connect(this.#audio.destination);
      source.start(at);
      source.stop(at + seconds * 2);
    }
    if (drum?.noise !== undefined) {
      const [kind, centre, seconds, loud] = drum.noise;
      const source = this.#audio.createBufferSource();
      source.buffer = this.#noise;
      source.loop = true;
      const filter = this.#audio.createBiquadFilter();
      filter.type = kind;
      filter.frequency.value = centre;
      source.connect(filter).connect(this.#envelope(at, level * loud * 0.5, 0.001, seconds, Infinity)).connect(this.#audio.destination);
      source.start(at);
      source.stop(at + seconds * 2);
    }
  }
}

/** A quarter of a turn in as many steps as frames, but no more than are heard. */
function quarter(frames: number, shape: (angle: number) => number): Float32Array {
  const steps = Math.max(2, Math.min(frames, 512));
  return Float32Array.from({ length: steps }, (_, i) => shape((Math.PI / 2) * (i / (steps - 1))));
}

/** Longest time that a plain tone of a drum rings. */
const toneRings = 2;

async function mixedTurn({ result, bytes }: BandTurn, kit: Kit | undefined): Promise<readonly [Float32Array, Float32Array]> {
  const { frames, strings, sounds, hits } = result;
  const samples = sounds.map((sound) => kit?.find(sound));
  const rings = hits.map(({ frame, end, fall, sound }) => {
    const sample = samples[sound];
    if (sample === undefined) return frame + Math.max(toneRings * rate, sounds[sound]!.role === "drums" ? 0 : end - frame + rate / 4);
    return Math.min(Math.max(frame, 0) + sample.buffer.length / sample.speed, end + fall) + frames * (frame < sample.attack ? 1 : 0);
  });
  const turn = new Turn(frames, Math.max(0, Math.ceil(Math.max(0, ...rings)) - frames));
  strings.forEach(({ gain, pan }, i) => turn.strings(new Float32Array(bytes.buffer as ArrayBuffer, bytes.byteOffset + 4 * frames * i, frames), gain, pan));
  for (const hit of hits) {
    const sample = samples[hit.sound];
    if (sample === undefined) turn.tone(sounds[hit.sound]!, hit);
    else turn.sample(hit, sample);
  }
  return turn.mixed();
}

/**
 * The band under a lick of `frames` at a tempo. It begins with it, at the start of the vamp's bar `bar` (from 0), and
 * comes round as often as it must; it starts anew with each turn of a loop, so that the same chord is under the same
 * note each time.
 */
export async function renderVamp(band: BandTurn, kit: Kit | undefined, bpm: number, frames: number, loop: boolean, bar: number): Promise<AudioBuffer> {
  const { bars, beats, frames: turn } = band.result;
  const mixed = await mixedTurn(band, kit);
  const beat = (60 * rate) / bpm;
  const first = (((bar % bars) + bars) % bars) * (beats / bars);
  const begin = (index: number): number => Math.round((index * beats - first) * beat);
  const sound = new AudioBuffer({ numberOfChannels: 2, length: frames, sampleRate: rate });
  let peak = 0;
  for (const side of [0, 1] as const) {
    const samples = new Float32Array(frames);
    for (let index = 0; begin(index) < frames; ++index) {
      const end = Math.min(frames, begin(index + 1));
      for (let i = Math.max(0, begin(index)); i < end; ++i) samples[i] = mixed[side][(i - begin(index)) % turn]!;
    }
    if (loop) join(samples, mixed[side], -begin(0));
    for (const x of samples) peak = Math.max(peak, Math.abs(x));
    sound.copyToChannel(samples, side);
  }
  // As loud at its loudest as the other parts are.
  if (peak > 0) for (const side of [0, 1]) scale(sound.getChannelData(side), 1 / peak);
  return sound;
}

/** Where a loop ends within a turn of the vamp, its end goes over to what comes before its beginning. */
function join(samples: Float32Array, turn: Float32Array, start: number): void {
  const cross = Math.min(crossFrames, samples.length);
  for (let i = 1; i <= cross; ++i) {
    const before = turn[(((start - i) % turn.length) + turn.length) % turn.length]!;
    const part = i / (cross + 1);
    samples[samples.length - i] = part * samples[samples.length - i]! + (1 - part) * before;
  }
}

function scale(samples: Float32Array, by: number): void {
  for (let i = 0; i < samples.length; ++i) samples[i]! *= by;
}
