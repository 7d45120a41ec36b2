// Prints what the independent library npm tonal computes, one tab-separated line a value:
//   version V | mode NAME TONIC NOTES | scale TONIC DEGREES NOTES | chord ROOT SYMBOL NOTES |
//   freq MIDI HERTZ | end LINES
import {readFileSync} from 'node:fs';
import {Chord, ChordType, Note, Scale, ScaleType} from 'tonal';

const lines = [];
const print = (...fields) => lines.push(fields.join('\t'));

const installed = new URL('../../node_modules/tonal/package.json', import.meta.url);
print('version', JSON.parse(readFileSync(installed, 'utf8')).version);

const letters = [...'CDEFGAB'];
const tonics = letters.flatMap((letter) => [letter, `${letter}#`, `${letter}b`]);

/** "3m" -> "b3": the interval as an alteration of the major scale's. */
function degree(interval) {
  const [, number, quality] = /^(\d+)([dmPMA]+)$/.exec(interval);
  const perfect = [1, 4, 5, 8, 11].includes(Number(number));
  const accidental = {P: '', M: '', A: '#', m: 'b', d: perfect ? 'b' : 'bb'}[quality];
  return accidental + number;
}

for (const type of ScaleType.all()) {
  for (const tonic of tonics) {
    for (const name of [type.name, ...type.aliases]) {
      print('mode', name, tonic, Scale.get(`${tonic} ${name}`).notes.join(' '));
    }
    print('scale', tonic, type.intervals.map(degree).join(' '), Scale.get(`${tonic} ${type.name}`).notes.join(' '));
  }
}
for (const type of ChordType.all()) {
  for (const symbol of type.aliases) {
    for (const root of tonics) print('chord', root, symbol, Chord.getChord(symbol, root).notes.join(' '));
  }
}
for (let midi = 21; midi <= 108; ++midi) print('freq', midi, Note.freq(Note.fromMidi(midi)));
print('end', lines.length);
process.stdout.write(lines.join('\n') + '\n');
