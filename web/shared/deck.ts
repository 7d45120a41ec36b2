// One rendering of an idea, sounding on the audio clock from one exact frame to another.

/** Three sounds of one length, so that each has a level of its own. */
export interface Tracks {
  readonly lick: AudioBuffer;
  readonly click: AudioBuffer;
  vamp?: AudioBuffer;
}
export type Part = keyof Tracks;
export const parts: readonly Part[] = ["lick", "click", "vamp"];

export interface SoundingNote {
  readonly note: number;
  readonly begin: number;
  readonly end: number;
}

export interface Rendering {
  readonly tracks: Tracks;
  /** Ascending by `begin`; in frames of the rendering. */
  readonly notes: readonly SoundingNote[];
  readonly frames: number;
  readonly loop: boolean;
  /** It sounds only until the whole is rendered. */
  readonly early: boolean;
  /** Where in the whole this begins, and how long the whole is. */
  readonly origin: number;
  readonly whole: number;
  /** The idea's bar, from 0, that the whole begins with. */
  readonly bar: number;
  readonly bpm: number;
  /** Largest absolute values, by which the levels are set. */
  readonly peak: { readonly lick: number; readonly click: number };
}

export const rate = 48000;
/** Two renderings cross in this time, which ends where the new one's note begins. */
export const crossFrames = 288;

/** The level of a part whose peak is 1 when its listener's level is 1. */
const fullLevel: Readonly<Record<Part, number>> = { lick: 0.9, click: 0.9, vamp: 0.9 };

export class Deck {
  readonly rendering: Rendering;
  /** Frame of the audio clock where the frame `offset` of the rendering sounds. */
  readonly start: number;
  readonly offset: number;
  /** Frame of the audio clock where another deck takes over. */
  end = Number.POSITIVE_INFINITY;

  readonly #audio: BaseAudioContext;
  readonly #outputs: Readonly<Record<Part, AudioNode>>;
  readonly #sources = new Map<Part, { readonly source: AudioBufferSourceNode; readonly gain: GainNode }>();

  /** `begins`: whether the rendering's first frame is meant to be heard as it is, or another one is sounding. */
  constructor(
    audio: BaseAudioContext,
    outputs: Readonly<Record<Part, AudioNode>>,
    rendering: Rendering,
    start: number,
    offset: number,
    begins: "alone" | "crossing",
  ) {
    this.#audio = audio;
    this.#outputs = outputs;
    this.rendering = rendering;
    this.start = start;
    this.offset = offset;
    for (const part of parts) {
      const buffer = rendering.tracks[part];
      if (buffer !== undefined) this.#add(part, buffer, start, offset, begins === "crossing" ? crossFrames : 0);
    }
  }

  /** A part that was rendered later comes in where the deck is at this frame of the audio clock. */
  addVamp(buffer: AudioBuffer, at: number): void {
    this.rendering.tracks.vamp = buffer;
    const late = Math.max(at, this.start);
    this.#add("vamp", buffer, late, this.frameAt(late), late === this.start ? 0 : crossFrames);
  }

  #add(part: Part, buffer: AudioBuffer, start: number, offset: number, cross: number): void {
    const { loop, frames } = this.rendering;
    const source = this.#audio.createBufferSource();
    const gain = this.#audio.createGain();
    source.buffer = buffer;
    if (loop) {
      source.loop = true;
      source.loopStart = 0;
      source.loopEnd = frames / rate;
    }
    const peak = part === "vamp" ? 1 : this.rendering.peak[part];
    const full = peak > 0 ? fullLevel[part] / peak : 1;
    const begin = start - cross;
    if (cross > 0) {
      gain.gain.setValueAtTime(0, begin / rate);
      gain.gain.linearRampToValueAtTime(full, start / rate);
    } else {
      gain.gain.setValueAtTime(full, 0);
    }
    // Where the crossing would begin before the rendering does, a loop has its own end there.
    const from = offset - cross;
    if (from >= 0) source.start(begin / rate, from / rate);
    else if (loop) source.start(begin / rate, (from + frames) / rate);
    else source.start((begin - from) / rate, 0);
    source.connect(gain).connect(this.#outputs[part]);
    this.#sources.set(part, { source, gain });
  }

  /** Fades out so that nothing is heard from this frame of the audio clock on. */
  stop(at: number): void {
    this.end = Math.min(this.end, at);
    for (const [part, { source, gain }] of this.#sources) {
      const peak = part === "vamp" ? 1 : this.rendering.peak[part];
      const begin = Math.max(0, at - crossFrames) / rate;
      gain.gain.setValueAtTime(peak > 0 ? fullLevel[part] / peak : 1, begin);
      gain.gain.linearRampToValueAtTime(0, at / rate);
      source.stop(at / rate);
    }
  }

  /** Frame of the rendering that sounds at a frame of the audio clock; past its end where it does not loop. */
  frameAt(at: number): number {
    const frame = this.offset + (at - this.start);
    const { loop, frames } = this.rendering;
    return loop ? ((frame % frames) + frames) % frames : frame;
  }

  /** Frame of the whole, of which this may be a part. */
  wholeFrameAt(at: number): number {
    return (this.frameAt(at) + this.rendering.origin) % this.rendering.whole;
  }

  /** Turns of the whole that have ended. */
  turnsAt(at: number): number {
    return Math.max(0, Math.floor((this.offset + this.rendering.origin + (at - this.start)) / this.rendering.whole));
  }

  /** The first frame of the audio clock, from `after` on, where at least so many turns have ended. */
  endOfTurn(turns: number, after: number): number {
    const { whole, origin } = this.rendering;
    const least = Math.max(turns, this.turnsAt(after) + 1);
    return this.start + least * whole - this.offset - origin;
  }

  noteAt(at: number): number | undefined {
    const { notes, frames, loop } = this.rendering;
    const frame = this.frameAt(at);
    if (frame < 0 || (!loop && frame >= frames)) return undefined;
    let low = 0;
    let high = notes.length;
    while (low < high) {
      const middle = (low + high) >> 1;
      if (notes[middle]!.begin <= frame) low = middle + 1;
      else high = middle;
    }
    // A note of the turn before may sound into this one.
    const last = low > 0 ? notes[low - 1]! : loop ? notes.at(-1) : undefined;
    if (last === undefined) return undefined;
    return frame < last.end || (low === 0 && frame + frames < last.end) ? last.note : undefined;
  }

  /** The first frame of the audio clock, from `after` on, where a note begins; nothing where there is none. */
  nextOnset(after: number): number | undefined {
    const { notes, frames, loop } = this.rendering;
    const frame = this.frameAt(after);
    const next = notes.find(({ begin }) => begin >= frame);
    if (next !== undefined) return after + next.begin - frame;
    return loop && notes.length > 0 ? after + notes[0]!.begin + frames - frame : undefined;
  }

  /** The first frame of the audio clock, from `after` on, where a beat of the whole begins, and which beat it is. */
  nextBeat(after: number): { readonly at: number; readonly beat: number } {
    const whole = this.rendering.origin + this.offset + (after - this.start);
    const each = (60 * rate) / this.rendering.bpm;
    const beat = Math.ceil(whole / each - 1e-6);
    return { at: Math.round(after + beat * each - whole), beat };
  }
}
