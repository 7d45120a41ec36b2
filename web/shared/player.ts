// Plays what the engine's voice gives, on the audio clock. Everything is scheduled in frames of the AudioContext; waiting
// for the engine and for pictures only decides what is scheduled next, never when something sounds.
//
// A press sounds quickly because only a part of a second is rendered for it; more and then the whole follow while that
// sounds, and take over where a note begins. A tempo is never stretched: the idea is rendered anew at it, and takes over on a beat.

import { Deck, parts, rate, type Part, type Rendering, type SoundingNote } from "./deck.js";
import type { EngineClient, EngineLesson } from "./engine_client.js";
import type { Kit } from "./kit.js";
import { renderVamp } from "./vamp_sound.js";

/** From 0 to 1, as a listener sets them. */
export interface Levels {
  readonly lick: number;
  readonly click: number;
  readonly vamp: number;
  readonly countIn: number;
}
/** Quiet to begin with: nobody knows what the headphones are set to. */
export const quietLevels: Levels = { lick: 0.5, click: 0.25, vamp: 0.3, countIn: 0.4 };

/** Notes of a feel, the first and the last of them included. */
export interface Span {
  readonly first: number;
  readonly last: number;
}

export interface PlayOptions {
  /** A lesson that is open in the engine, or its text. */
  readonly lesson: EngineLesson | string;
  /** From 1, as in all calls. */
  readonly idea: number;
  readonly feel: number;
  readonly bpm: number;
  /** Where to begin; the first note of all, or of the span. */
  readonly from?: number;
  /** These notes alone. */
  readonly span?: Span;
  readonly loop?: boolean;
  /** Bars that are counted before; 0. */
  readonly countIn?: number;
  /** The idea's repetitions one by one, each with a rest behind it; without a vamp. */
  readonly bursts?: boolean;
  /** Tempos to climb from `bpm` on, with so many turns of the loop at each. */
  readonly ladder?: { readonly rungs: readonly number[]; readonly turns: number };
  /** Notes that are left to the listener. */
  readonly silent?: readonly Span[];
}

/** Frames between what is decided and what sounds of it, so that the thread of the audio hears of it in time. */
const lead = 0.025 * rate;
/** What is rendered first lasts so long, and what follows before the whole, where that is longer. A second of sound takes
 *  10 ms here and 40 ms and more on a phone. The last fifth of a second of each fades. */
const firstSeconds = 0.8;
const nextSeconds = 2.5;
const moreSeconds = 8;
const fade = 0.2 * rate;
/** Milliseconds before the whole is asked for: who presses again and again must not wait for what nobody will hear. */
const patience = 200;
/** A picture is seen about half a frame after its script ran. */
const halfFrame = 0.008;
/** A pause in the pictures says nothing of how long the next is seen; in seconds. */
const longestFrame = 0.05;

interface Job {
  readonly options: PlayOptions;
  readonly lesson: EngineLesson;
  readonly ours: boolean;
  /** Of what was rendered first: all that follows is levelled alike. */
  peak?: Rendering["peak"];
  /** The engine is at work on another tempo, or on the whole. */
  rendering: boolean;
}

type Voice = Parameters<EngineLesson["call"]>[0] & { readonly call: "voice" };

export class Player {
  /** The note that is heard now, each time that it is another; nothing in rests and at the end. */
  onNote: ((note: number | undefined) => void) | undefined;
  /** A tempo is heard that was not. */
  onTempo: ((bpm: number) => void) | undefined;
  /** So many turns of a loop have ended. */
  onTurn: ((turns: number) => void) | undefined;
  /** It has ended by itself; `fault` says why it could not be played, if so. */
  onEnd: ((fault?: string) => void) | undefined;

  /** The sounds of drums and keys; plain tones stand for them where there are none. */
  kit: Kit | undefined;

  readonly #client: EngineClient;
  readonly #audio: AudioContext;
  readonly #outputs: Readonly<Record<Part, GainNode>>;
  readonly #master: GainNode;
  #levels: Levels = quietLevels;
  #job: Job | undefined;
  /** Those that sound or will, in the order of their starts. */
  #decks: Deck[] = [];
  #count: AudioBufferSourceNode | undefined;
  #countsFrom: number | undefined;
  #watching = 0;
  #shown: number | undefined;
  #heardBpm = 0;
  /** Turns that ended under decks that are gone. */
  #turnsBefore = 0;
  #turns = 0;
  /** The tempo that is to be heard. */
  #bpm = 0;

  constructor(client: EngineClient, audio: AudioContext) {
    this.#client = client;
    this.#audio = audio;
    this.#master = audio.createGain();
    this.#master.connect(audio.destination);
    const output = (part: Part): GainNode => {
      const node = audio.createGain();
      node.gain.value = this.#levels[part];
      node.connect(this.#master);
      return node;
    };
    this.#outputs = { lick: output("lick"), click: output("click"), vamp: output("vamp") };
  }

  get playing(): boolean {
    return this.#job !== undefined;
  }
  /** A count-in is scheduled or sounds. */
  get counting(): boolean {
    return this.#count !== undefined;
  }
  /** The second of the audio clock in which a count-in begins; nothing without one. */
  get countsFrom(): number | undefined {
    return this.#countsFrom;
  }
  /** The tempo that is heard or about to be. */
  get bpm(): number {
    return this.#bpm;
  }
  get levels(): Levels {
    return this.#levels;
  }
  /** Levels go to where they are set within some hundredths of a second, without a step. */
  set levels(levels: Levels) {
    this.#levels = levels;
    for (const part of parts) this.#outputs[part].gain.setTargetAtTime(levels[part], this.#audio.currentTime, 0.015);
    const deck = this.#decks.at(-1);
    if (this.#job !== undefined && deck !== undefined && !deck.rendering.early) void this.#addVamp(this.#job, deck);
  }

  /** Has the voice compiled, so that the first press need not wait for that. */
  warm(lesson: EngineLesson, idea: number): void {
    void lesson.call({ call: "voice", idea, seconds: 0.2 });
  }

  /** Stops what plays and plays this. Call it in the event of a press: a browser lets sound begin only there. */
  async play(options: PlayOptions): Promise<void> {
    this.stop();
    const ours = typeof options.lesson === "string";
    const lesson = typeof options.lesson === "string" ? this.#client.open(options.lesson) : options.lesson;
    const job: Job = { options, lesson, ours, rendering: false };
    this.#job = job;
    this.#bpm = options.bpm;
    this.#heardBpm = 0;
    this.#turns = this.#turnsBefore = 0;
    const running = this.#audio.state === "running" ? undefined : this.#audio.resume();
    try {
      await this.#begin(job, running);
    } catch (error) {
      this.#fail(job, error);
    }
  }

  /** Another tempo for what plays. It comes on a beat, as soon as it is rendered. */
  setTempo(bpm: number): void {
    const job = this.#job;
    if (job === undefined || bpm === this.#bpm) return;
    this.#bpm = bpm;
    // While the first seconds are on their way the whole follows at this tempo.
    if (this.#decks.length > 0) void this.#render(job);
  }

  stop(): void {
    const job = this.#job;
    if (job === undefined) return;
    this.#job = undefined;
    cancelAnimationFrame(this.#watching);
    const now = this.#now();
    for (const deck of this.#decks) deck.stop(now + lead);
    this.#decks = [];
    this.#count?.stop();
    this.#count = this.#countsFrom = undefined;
    if (job.ours) job.lesson.close();
    this.#show(undefined);
  }

  /** The time of the audio clock, in seconds, that is heard at a time of performance.now(). */
  heardAt(performanceTime: number): number {
    const { contextTime = 0, performanceTime: at = 0 } = this.#audio.getOutputTimestamp();
    // Before its first frames have left the device, a context knows no such time.
    if (at === 0) return this.#audio.currentTime - (this.#audio.outputLatency || 0);
    return contextTime + (performanceTime - at) / 1000;
  }
  /** The note that is heard at a time of the audio clock, in seconds. */
  noteAt(time: number): number | undefined {
    return this.#deckAt(time * rate)?.noteAt(time * rate);
  }
  /** What sounds and what is scheduled, for tests: frames of the audio clock. */
  get decks(): readonly Deck[] {
    return this.#decks;
  }

  // What is asked of the engine

  #voice({ options }: Job, bpm: number): Voice {
    const { idea, feel, span, loop, bursts } = options;
    const piece = bursts ? "bursts" : loop || options.ladder !== undefined ? "loop" : "demo";
    return { call: "voice", idea, feel, bpm, piece, count_in: 0, ...span };
  }

  async #rendered(job: Job, request: Voice): Promise<Rendering> {
    const answer = await job.lesson.call<"voice">(request);
    if ("error" in answer) throw new Error(answer.error.message);
    const { frames, notes, loop, origin, whole, bar } = answer.result;
    const peak = (job.peak ??= answer.result.peak);
    const samples = new Float32Array(answer.bytes.buffer, answer.bytes.byteOffset, 3 * frames);
    const side = (index: number) => samples.subarray(index * frames, (index + 1) * frames) as Float32Array<ArrayBuffer>;
    for (const span of job.options.silent ?? []) silence([side(0), side(1)], notes, span);
    const early = request.seconds !== undefined;
    const buffer = async (sides: readonly Float32Array<ArrayBuffer>[]): Promise<AudioBuffer> => {
      const made = this.#audio.createBuffer(sides.length, frames, rate);
      for (const [index, one] of sides.entries()) {
        // Minutes of sound take a phone a while: whoever presses meanwhile is answered in between.
        if (!early) await nextTurn();
        made.copyToChannel(one, index);
      }
      return made;
    };
    const tracks = { lick: await buffer([side(0), side(1)]), click: await buffer([side(2)]) };
    return { tracks, notes, frames, loop, early, origin, whole, bar, peak, bpm: request.bpm ?? this.#bpm };
  }

  async #vampFor(job: Job, rendering: Rendering): Promise<AudioBuffer | undefined> {
    const { idea, feel, bursts } = job.options;
    if (this.#levels.vamp === 0 || bursts) return undefined;
    const answer = await job.lesson.call({ call: "band", idea, feel, bpm: rendering.bpm });
    if ("error" in answer || this.#job !== job) return undefined;
    try {
      return await renderVamp(answer, this.kit, rendering.bpm, rendering.frames, rendering.loop, rendering.bar);
    } catch (error) {
      console.error("the vamp cannot be rendered", error);
      return undefined;  // the lick goes on without it
    }
  }

  async #addVamp(job: Job, deck: Deck): Promise<void> {
    if (deck.rendering.tracks.vamp !== undefined) return;
    const vamp = await this.#vampFor(job, deck.rendering);
    if (vamp === undefined || this.#job !== job || deck.rendering.tracks.vamp !== undefined) return;
    if (deck.end === Number.POSITIVE_INFINITY) deck.addVamp(vamp, this.#now() + lead);
  }

  // How it begins

  async #begin(job: Job, running: Promise<void> | undefined): Promise<void> {
    const from = job.options.from ?? job.options.span?.first ?? 0;
    const request = { ...this.#voice(job, this.#bpm), from, seconds: firstSeconds };
    const bars = job.options.countIn ?? 0;
    // The count-in is asked for first, and counts while the lick is rendered.
    const counting = bars > 0 ? this.#counted(job, from, this.#bpm) : undefined;
    const rendering = this.#rendered(job, request);
    rendering.catch(() => undefined);
    const count = await counting;
    await running;
    if (this.#job !== job) return;
    const began = this.#soonest();
    if (count !== undefined) this.#countFrom(count.buffer, began);
    const early = await rendering;
    if (this.#job !== job) return;
    const soon = this.#soonest();
    const start = count === undefined ? soon : this.#countTo(began, bars, count.bar, early.origin % count.bar, soon);
    const first = new Deck(this.#audio, this.#outputs, early, Math.round(start), 0, "alone");
    this.#decks = [first];
    this.#watch(job);
    const waited = new Promise((resolve) => setTimeout(resolve, patience));
    await this.#goOn(job, first, nextSeconds);
    await waited;
    const deck = this.#decks.at(-1);
    if (this.#job === job && deck !== undefined) await this.#goOn(job, deck, moreSeconds);
    if (this.#job === job) await this.#render(job);
  }

  /** Some seconds more before the whole comes, which takes a slow device longer than what sounds now lasts. They take over
   *  where a note begins: the first that they have, or a later one where they come too late for that. */
  async #goOn(job: Job, before: Deck, seconds: number): Promise<void> {
    const { notes, frames, whole, bpm } = before.rendering;
    const next = notes.find(({ begin }) => begin >= frames - fade - 0.3 * rate) ?? notes.at(-1);
    if (next === undefined || whole - frames <= seconds * rate || this.#bpm !== bpm) return;
    const more = await this.#rendered(job, { ...this.#voice(job, bpm), from: next.note, seconds });
    if (this.#job !== job || this.#decks.at(-1) !== before) return;
    const begins = before.start - before.offset + next.begin;
    const earliest = Math.max(begins, Math.round(this.#now() + 2 * lead));
    const onset = more.notes.find(({ begin }) => begins + begin >= earliest);
    const at = onset === undefined ? earliest : begins + onset.begin;
    if (at - begins < more.frames - fade) this.#hand(before, more, at, at - begins);
  }

  /** One bar of clicks. */
  async #counted(job: Job, note: number, bpm: number): Promise<{ readonly buffer: AudioBuffer; readonly bar: number }> {
    const { idea, feel } = job.options;
    const request: Voice = { call: "voice", idea, feel, bpm, piece: "click", click: "beat", first: note, last: note };
    const answer = await job.lesson.call<"voice">(request);
    if ("error" in answer) throw new Error(answer.error.message);
    const { frames, knocks, peak } = answer.result;
    const bar = knocks.find(({ frame, kind }) => frame > 0 && kind === "bar")?.frame ?? frames;
    const samples = new Float32Array(answer.bytes.buffer, answer.bytes.byteOffset + 8 * frames, bar);
    const buffer = this.#audio.createBuffer(1, bar, rate);
    buffer.copyToChannel(samples.map((x) => x / (peak.click || 1)), 0);
    return { buffer, bar };
  }

  /** Counts from a frame of the audio clock on, until it is told where to end. */
  #countFrom(buffer: AudioBuffer, start: number): void {
    const source = this.#audio.createBufferSource();
    const level = this.#audio.createGain();
    level.gain.value = this.#levels.countIn;
    source.buffer = buffer;
    source.loop = true;
    source.connect(level).connect(this.#master);
    source.start(start / rate);
    this.#count = source;
    this.#countsFrom = start / rate;
  }

  /** Ends the count-in after its bars, or after more of them where the lick is not ready (`soon`), and gives the frame at
   *  which the lick begins: its first note stands `place` behind the bar line. */
  #countTo(began: number, bars: number, bar: number, place: number, soon: number): number {
    const late = Math.ceil((soon - place - began) / bar);
    const end = began + Math.max(bars, late) * bar;
    this.#count?.stop(end / rate);
    return end + place;
  }

  // How it goes on

  /** Renders the whole at the tempo that is wanted, again and again while another one is wanted meanwhile. */
  async #render(job: Job): Promise<void> {
    if (job.rendering) return;
    job.rendering = true;
    try {
      for (;;) {
        const bpm = this.#bpm;
        const rendering = await this.#rendered(job, this.#voice(job, bpm));
        // A change must not be without its vamp; what began without one gets it as soon as it can.
        const changes = this.#decks.at(-1)?.rendering.bpm !== bpm;
        const vamp = changes ? await this.#vampFor(job, rendering) : undefined;
        if (this.#job !== job) return;
        if (bpm !== this.#bpm) continue;
        if (vamp !== undefined) rendering.tracks.vamp = vamp;
        this.#takeOver(rendering, changes ? "beat" : "note");
        break;
      }
    } catch (error) {
      this.#fail(job, error);
      return;
    } finally {
      job.rendering = false;
    }
    const deck = this.#decks.at(-1);
    if (deck !== undefined) await this.#addVamp(job, deck);
    void this.#climb(job);
  }

  /** The rendering goes on from where the one before is: where its next note begins, or on its next beat. */
  #takeOver(rendering: Rendering, where: "note" | "beat" | number): void {
    const before = this.#decks.at(-1);
    if (before === undefined) return;
    const earliest = Math.round(this.#now() + lead + 2 * lead);
    if (typeof where === "number") return this.#hand(before, rendering, where, 0);
    // What has not begun yet is replaced.
    if (before.start > earliest) {
      const offset = where === "note" ? before.wholeFrameAt(before.start) : onBeat(before.wholeFrameAt(before.start), before, rendering);
      return this.#hand(before, rendering, before.start, offset);
    }
    if (where === "beat") {
      const { at, beat } = before.nextBeat(earliest);
      return this.#hand(before, rendering, at, Math.round((beat * 60 * rate) / rendering.bpm) % rendering.whole);
    }
    const onset = before.nextOnset(earliest);
    const ends = before.start + before.rendering.frames - fade;
    const at = onset === undefined || (before.rendering.early && onset > ends) ? Math.max(earliest, Math.min(ends, onset ?? ends)) : onset;
    this.#hand(before, rendering, at, before.wholeFrameAt(at));
  }

  #hand(before: Deck, rendering: Rendering, at: number, offset: number): void {
    const crossing = at > before.start;
    before.stop(at);
    this.#turnsBefore += before.turnsAt(at);
    this.#decks.push(new Deck(this.#audio, this.#outputs, rendering, at, offset, crossing ? "crossing" : "alone"));
  }

  /** The next rung is rendered while this one sounds and follows behind its turns. */
  async #climb(job: Job): Promise<void> {
    const ladder = job.options.ladder;
    const deck = this.#decks.at(-1);
    const next = ladder?.rungs.find((bpm) => bpm > this.#bpm);
    if (ladder === undefined || deck === undefined || next === undefined || job.rendering) return;
    job.rendering = true;
    try {
      const rendering = await this.#rendered(job, this.#voice(job, next));
      const vamp = await this.#vampFor(job, rendering);
      if (vamp !== undefined) rendering.tracks.vamp = vamp;
      // Somebody set another tempo meanwhile: the ladder goes on from there.
      if (this.#job !== job || this.#decks.at(-1) !== deck || this.#bpm !== deck.rendering.bpm) return;
      this.#bpm = next;
      this.#takeOver(rendering, deck.endOfTurn(ladder.turns, this.#now() + 3 * lead));
    } catch (error) {
      this.#fail(job, error);
      return;
    } finally {
      job.rendering = false;
      if (this.#job === job && this.#bpm !== this.#decks.at(-1)?.rendering.bpm) void this.#render(job);
    }
    void this.#climbLater(job);
  }

  /** The rung after next is asked for when the next one is heard: memory holds two. */
  async #climbLater(job: Job): Promise<void> {
    const deck = this.#decks.at(-1);
    if (deck === undefined) return;
    await new Promise((resolve) => setTimeout(resolve, Math.max(0, ((deck.start - this.#now()) / rate) * 1000)));
    if (this.#job === job && this.#decks.at(-1) === deck) void this.#climb(job);
  }

  // What is seen of it

  #watch(job: Job): void {
    let before = 0;
    let frame = 2 * halfFrame;
    const look = (time: number) => {
      if (this.#job !== job) return;
      // A slow device shows fewer pictures, each for longer.
      if (before > 0) frame += (Math.min((time - before) / 1000, longestFrame) - frame) / 8;
      before = time;
      const at = (this.heardAt(performance.now()) + Math.max(halfFrame, frame / 2)) * rate;
      this.#decks = this.#decks.filter((deck, i, all) => i === all.length - 1 || deck.end > at - rate);
      const deck = this.#deckAt(at);
      if (deck !== undefined) {
        if (deck.rendering.bpm !== this.#heardBpm) this.onTempo?.((this.#heardBpm = deck.rendering.bpm));
        this.#show(deck.noteAt(at));
        this.#countTurns(deck, at);
        if (!deck.rendering.loop && !deck.rendering.early && at >= deck.start - deck.offset + deck.rendering.frames) return this.#ended();
      }
      this.#watching = requestAnimationFrame(look);
    };
    this.#watching = requestAnimationFrame(look);
  }

  #countTurns(deck: Deck, at: number): void {
    if (deck !== this.#decks.at(-1)) return;
    const turns = this.#turnsBefore + deck.turnsAt(at);
    if (turns > this.#turns) this.onTurn?.((this.#turns = turns));
  }

  #show(note: number | undefined): void {
    if (note === this.#shown) return;
    this.#shown = note;
    this.onNote?.(note);
  }

  #ended(): void {
    this.stop();
    this.onEnd?.();
  }

  #fail(job: Job, error: unknown): void {
    if (this.#job !== job) return;
    this.stop();
    this.onEnd?.(error instanceof Error ? error.message : String(error));
  }

  #now(): number {
    return this.#audio.currentTime * rate;
  }
  /** The frame at which something can begin where nothing sounds: behind what the device has taken already. */
  #soonest(): number {
    return Math.round(this.#now() + Math.min(lead, (this.#audio.baseLatency + 0.005) * rate));
  }
  #deckAt(at: number): Deck | undefined {
    return this.#decks.filter((deck) => deck.start <= at).at(-1);
  }
}

/** The page's thread does what waits meanwhile; unlike a timer's, this turn comes at once in a page that is not looked at, too. */
function nextTurn(): Promise<void> {
  const { port1, port2 } = new MessageChannel();
  return new Promise((resolve) => {
    port1.onmessage = () => (port1.close(), resolve());
    port2.postMessage(undefined);
  });
}

/** A frame of one rendering as that of another, at the same place of the idea. */
function onBeat(frame: number, before: Deck, rendering: Rendering): number {
  return Math.round((frame * before.rendering.bpm) / rendering.bpm) % rendering.whole;
}

/** Takes the notes of a span out of the sound, with ramps of some milliseconds. */
function silence(sides: readonly Float32Array[], notes: readonly SoundingNote[], span: Span): void {
  const frames = sides[0]?.length ?? 0;
  const ramp = 240;
  notes.forEach(({ note, begin }, i) => {
    if (note < span.first || note > span.last) return;
    const next = notes[i + 1]?.begin ?? frames;
    const goesOn = (index: number) => {
      const other = notes[index];
      return other !== undefined && other.note >= span.first && other.note <= span.last;
    };
    for (const side of sides) {
      for (let k = 1; k <= ramp && !goesOn(i - 1) && begin - k >= 0; ++k) side[begin - k]! *= k / ramp;
      side.fill(0, begin, next);
    }
  });
}
