// Chords of a vamp moved with the key: "Em7 | A7" from E dorian to G dorian is "Gm7 | C7".

const letters = "CDEFGAB";
const semitones: readonly number[] = [0, 2, 4, 5, 7, 9, 11];

interface Note {
  readonly letter: number;
  readonly alteration: number;
}

const wrap = (n: number, by: number): number => ((n % by) + by) % by;
const pitch = ({ letter, alteration }: Note): number => semitones[letter]! + alteration;

function parse(text: string): Note {
  const sharps = [...text.slice(1)].reduce((sum, sign) => sum + (sign === "#" || sign === "♯" ? 1 : -1), 0);
  return { letter: letters.indexOf(text[0]!.toUpperCase()), alteration: sharps };
}

function name({ letter, alteration }: Note): string {
  return letters[letter]! + (alteration < 0 ? "b".repeat(-alteration) : "#".repeat(alteration));
}

/** Where a note stands above `from`, it stands above `to`; more than one sign is spelled as its neighbour. */
function moved(note: Note, from: Note, to: Note): Note {
  const letter = wrap(note.letter + to.letter - from.letter, 7);
  const wanted = wrap(pitch(note) + pitch(to) - pitch(from), 12);
  const alteration = wrap(wanted - semitones[letter]! + 6, 12) - 6;
  if (Math.abs(alteration) < 2) return { letter, alteration };
  const natural = semitones.indexOf(wanted);
  if (natural >= 0) return { letter: natural, alteration: 0 };
  return { letter: semitones.indexOf(wanted - 1), alteration: 1 };
}

/** The tonic that a key's name begins with: "Bb mixolydian". */
export function tonicOf(key: string): string {
  return /^[A-Ga-g][#b♯♭]*/.exec(key)?.[0] ?? "C";
}

/** Semitones above C. */
export function pitchClass(note: string): number {
  return wrap(pitch(parse(note)), 12);
}

export function transposed(chords: string, fromKey: string, toKey: string): string {
  const from = parse(tonicOf(fromKey));
  const to = parse(tonicOf(toKey));
  return chords.replace(/(^|[\s|/])([A-G][#b♯♭]*)/g, (_, before: string, root: string) => before + name(moved(parse(root), from, to)));
}
