// The sampled sounds of drums, keys and drone that a page holds: one Opus file with an index, as src/sound/band_kit.h has it.

import type { ResultOf } from "../engine/engine.js";
import { rate } from "./deck.js";

export type HitSound = ResultOf<"band">["sounds"][number];

/** Where a sound lies in the kit. */
interface KitSound extends HitSound {
  readonly first: number;
  readonly frames: number;
  /** Frames until half of its height. */
  readonly attack: number;
  readonly gain: number;
  readonly seat: number;
  readonly pan: number;
}
interface KitFile {
  readonly audio: string;
  readonly rate: number;
  readonly sounds: readonly KitSound[];
}

/** A sound of the kit as a hit needs it. */
export interface Sample {
  readonly buffer: AudioBuffer;
  /** Frames of the buffer until half of its height. */
  readonly attack: number;
  readonly level: number;
  readonly pan: number;
  /** How much faster it is played than it was recorded. */
  readonly speed: number;
}

const isKit = (value: unknown): value is KitFile => typeof value === "object" && value !== null && "audio" in value && "sounds" in value;

export class Kit {
  readonly #sounds: readonly { readonly sound: KitSound; readonly buffer: AudioBuffer }[];

  private constructor(audio: AudioBuffer, sounds: readonly KitSound[]) {
    const all = audio.getChannelData(0);
    this.#sounds = sounds.map((sound) => {
      const buffer = new AudioBuffer({ numberOfChannels: 1, length: sound.frames, sampleRate: rate });
      buffer.copyToChannel(all.subarray(sound.first, sound.first + sound.frames), 0);
      return { sound, buffer };
    });
  }

  /** Of the JSON that a packer put into the page; nothing where there is none, or where the browser cannot decode it. */
  static async read(json: string): Promise<Kit | undefined> {
    try {
      const file: unknown = JSON.parse(json);
      if (!isKit(file) || file.rate !== rate) return undefined;
      const bytes = Uint8Array.from(atob(file.audio), (c) => c.charCodeAt(0));
      return new Kit(await new OfflineAudioContext(1, 1, rate).decodeAudioData(bytes.buffer), file.sounds);
    } catch {
      return undefined;
    }
  }

  /**
   * The sound itself; else the same drum struck otherwise, or the nearest key moved to its pitch, since a student may
   * have another key and another tempo than the lesson.
   */
  find({ role, key, velocity }: HitSound): Sample | undefined {
    const away = (one: KitSound) => Math.abs(one.key - key) * 128 + Math.abs(one.velocity - velocity);
    const same = this.#sounds.filter(({ sound }) => sound.role === role && (role !== "drums" || sound.key === key));
    const nearest = same.reduce<(typeof same)[number] | undefined>((best, one) => (best === undefined || away(one.sound) < away(best.sound) ? one : best), undefined);
    if (nearest === undefined) return undefined;
    const { sound, buffer } = nearest;
    const speed = 2 ** ((key - sound.key) / 12);
    // Velocity is a level of 40 log10(v / 127) dB in the SoundFont standard 2.4 (8.4.1).
    return { buffer, attack: sound.attack / speed, level: sound.gain * sound.seat * (velocity / sound.velocity) ** 2, pan: sound.pan, speed };
  }
}
