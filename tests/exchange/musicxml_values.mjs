// Prints what the independent library npm musicxml-io reads in MusicXML files (see musicxml_test.cpp): the
// title, then every sounded note of both staves, ties joined, times in divisions.
import {readFileSync} from 'node:fs';
import {parse} from 'musicxml-io';

const installed = new URL('../../node_modules/musicxml-io/package.json', import.meta.url);
console.log('version', JSON.parse(readFileSync(installed, 'utf8')).version);

const name = ({step, alter = 0, octave}) => step + (alter > 0 ? '#' : 'b').repeat(Math.abs(alter)) + octave;

for (const path of process.argv.slice(2)) {
  const score = parse(readFileSync(path, 'utf8'));
  console.log('title', score.metadata.workTitle);
  const staves = {1: [], 2: []};
  const tied = {};
  let at = 0;
  for (const measure of score.parts[0].measures) {
    for (const entry of measure.entries) {
      if (entry.type === 'backup') at -= entry.duration;
      if (entry.type !== 'note') continue;
      if (entry.pitch) {
        const ties = (entry.ties ?? (entry.tie ? [entry.tie] : [])).map(tie => tie.type);
        if (ties.includes('stop')) {
          tied[entry.staff].duration += entry.duration;
        } else {
          const said = word => entry.notations?.find(n => n.type === 'technical' && n.technical === word);
          tied[entry.staff] = {
            at, duration: entry.duration, pitch: name(entry.pitch), string: said('string')?.string ?? 0,
            fret: said('fret')?.fret ?? 0, stroke: said('down-bow') ? 'D' : said('up-bow') ? 'U' : '-'
          };
          staves[entry.staff].push(tied[entry.staff]);
        }
      }
      at += entry.duration;
    }
  }
  for (const n of staves[1]) console.log('staff1', n.at, n.duration, n.pitch, n.stroke);
  for (const n of staves[2]) console.log('staff2', n.at, n.duration, n.pitch, n.string, n.fret);
}
