// Prints what the independent library npm midi-file reads in a MIDI file, one event a line (see
// midi_outside_test.cpp).
import {readFileSync} from 'node:fs';
import {parseMidi} from 'midi-file';

const installed = new URL('../../node_modules/midi-file/package.json', import.meta.url);
console.log('version', JSON.parse(readFileSync(installed, 'utf8')).version);

// The library makes one character of each byte.
const text = (bytes) => Buffer.from(bytes, 'latin1').toString('utf8');

const {header, tracks} = parseMidi(readFileSync(process.argv[2]));
console.log('file', header.format, header.ticksPerBeat, header.numTracks);
tracks.forEach((track, number) => {
  let tick = 0;
  const sounding = new Map();
  for (const event of track) {
    tick += event.deltaTime;
    if (event.type === 'setTempo') console.log('tempo', tick, event.microsecondsPerBeat);
    if (event.type === 'timeSignature') console.log('meter', tick, event.numerator, event.denominator);
    if (event.type === 'marker') console.log('marker', tick, text(event.text));
    if (event.type === 'text') console.log('text', number, tick, text(event.text));
    if (event.type === 'trackName') console.log('name', number, text(event.text));
    if (event.type === 'programChange') console.log('program', tick, event.channel + 1, event.programNumber);
    if (event.type === 'noteOn' || event.type === 'noteOff') {
      const key = event.channel * 128 + event.noteNumber;
      if (!sounding.has(key)) sounding.set(key, []);
      if (event.type === 'noteOn') {
        sounding.get(key).push({tick, velocity: event.velocity});
      } else {
        const begun = sounding.get(key).shift();
        console.log('note', number, begun.tick, tick - begun.tick, event.channel + 1, event.noteNumber, begun.velocity);
      }
    }
  }
});
