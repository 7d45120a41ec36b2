// The requests that the engine's tests ask: every call on every demo, what is wrong with a request, and random edits.
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";

/** Whole numbers 0 to below - 1, the same for the same seed (a counter through a hash, xorshift-multiply). */
export function random(seed) {
  let state = seed >>> 0;
  return (below) => {
    state = (state + 0x9e3779b9) >>> 0;
    let z = state;
    z = Math.imul(z ^ (z >>> 16), 0x21f0aaad);
    z = Math.imul(z ^ (z >>> 15), 0x735a2d97);
    return ((z ^ (z >>> 15)) >>> 0) % below;
  };
}

export function demos(root) {
  const folder = join(root, "demos");
  return readdirSync(folder)
    .filter((name) => name.endsWith(".toml"))
    .sort()
    .map((name) => ({ name, text: readFileSync(join(folder, name), "utf8") }));
}

const ideas = (text) => text.split("[[idea]]").length - 1;

/** Every call that leaves the text as it is; each idea once. */
export function questions(text) {
  const list = [
    { call: "calls" },
    { call: "text" },
    { call: "sentences" },
    { call: "findings" },
    { call: "mends" },
    { call: "practice" },
    { call: "practice", minutes: 45, present: 87.5 },
    { call: "explain", text: "4: 3 5 7 3 | 3: 7 7 3 5 | 2: 5 6 8 5 | 1: 8 6 5 6" },
    { call: "explain", text: "e|---------|\nB|---------|\nG|---------|\nD|-----5-7-|\nA|-5-7-----|\nE|---------|\n" },
    { call: "notes" },
    { call: "midi" },
    { call: "midi", speed: "slow", channels: "per-string" },
    { call: "musicxml" },
    { call: "text_tab", width: 100 },
    { call: "pages", paper: "letter", large_print: true, hand: "left", row: false, cover: true },
    { call: "choices", key: "layout.from" },
    { call: "choices", key: "key" },
    { call: "new_lesson", title: "A first one", key: "D mixolydian" },
  ];
  for (let idea = 1; idea <= ideas(text); ++idea) {
    list.push(
      { call: "notes", idea },
      { call: "vamp", idea },
      { call: "band", idea },
      { call: "band", idea, bpm: 87.5 },
      { call: "loom", idea, width: 900 },
      { call: "loom", idea, width: 390, digits: 15 },
      { call: "loom", idea, width: 390, hands: true, style: "living" },
      { call: "neck", idea, hand: "left", hands: true },
      { call: "positions", idea },
      { call: "reshape", idea, change: "accent", token: 0, on: false },
      { call: "reshape", idea, change: "length", token: 0, units: 3 },
      { call: "neck", idea, width: 640 },
      { call: "neck", idea, hand: "left", width: 300 },
      { call: "sheet", idea, width: 900 },
      { call: "sheet", idea, width: 390, ordinals: true, strokes: false, fingers: false, digits: 16, margin: 10 },
      { call: "loom", idea, width: 390, digits: 16, style: "living" },
      { call: "neck", idea, width: 640, style: "living" },
      { call: "sheet", idea, width: 900, style: "living" },
      { call: "note_boxes", idea, width: 900 },
      { call: "choices", key: `idea[${idea}].carry.strings` },
    );
  }
  list.push(
    { call: "loom", idea: ideas(text) + 1, hands: true },
    { call: "reshape", idea: ideas(text) + 1, change: "insert", string: 1, ordinal: 1 },
    { call: "everywhere", idea: 1, necks: true },
    { call: "voice", idea: 1 },
    { call: "voice", idea: 1, piece: "loop", bpm: 132.5, first: 2, last: 7, click: "subdivision" },
    { call: "voice", idea: 1, piece: "loop", bpm: 80, from: 3, seconds: 2 },
    { call: "voice", idea: 1, piece: "bursts", bpm: 90, count_in: 2, palm: 0.5, stroke_colour: 0 },
  );
  return list;
}

/** What a careless or hostile page may send: each must be answered by an error. */
export const wrong = [
  "",
  "{",
  "null",
  "[]",
  "42",
  '"calls"',
  "{}",
  '{"call": 7}',
  '{"call": "cals"}',
  '{"call": "text", "more": 1}',
  '{"call": "sheet"}',
  '{"call": "sheet", "idea": "1"}',
  '{"call": "sheet", "idea": 1.5}',
  '{"call": "sheet", "idea": 0}',
  '{"call": "sheet", "idea": 99}',
  '{"call": "sheet", "idea": 1e99}',
  '{"call": "sheet", "idea": 18446744073709551615}',
  '{"call": "sheet", "idea": 1, "feel": 9}',
  '{"call": "sheet", "idea": 1, "width": 1}',
  '{"call": "sheet", "idea": 1, "width": 1e300}',
  '{"call": "loom", "idea": 1, "digits": 12}',
  '{"call": "sheet", "idea": 1, "strokes": "yes"}',
  '{"call": "neck", "idea": 1, "hand": "both"}',
  '{"call": "loom", "idea": 1, "style": "poor"}',
  '{"call": "pages", "paper": "a5"}',
  '{"call": "practice", "minutes": 4}',
  '{"call": "reshape", "idea": 1}',
  '{"call": "reshape", "idea": 1, "change": "move"}',
  '{"call": "reshape", "idea": 1, "change": "move", "token": 256}',
  '{"call": "reshape", "idea": 1, "change": "move", "note": 10000}',
  '{"call": "reshape", "idea": 1, "change": "turn", "token": 0}',
  '{"call": "reshape", "idea": 1, "change": "insert", "token": 0, "string": 12, "ordinal": 1}',
  '{"call": "reshape", "idea": 99, "change": "insert", "token": 0, "string": 1, "ordinal": 1}',
  '{"call": "positions", "idea": 99}',
  '{"call": "band"}',
  '{"call": "band", "idea": 99}',
  '{"call": "band", "idea": 1, "bpm": 601}',
  '{"call": "voice", "idea": 1, "rate": 44100}',
  '{"call": "voice", "idea": 1, "bpm": 9.9}',
  '{"call": "voice", "idea": 1, "first": 5, "last": 2}',
  '{"call": "voice", "idea": 1, "from": 5000}',
  '{"call": "voice", "idea": 1, "seconds": 0}',
  '{"call": "voice", "idea": 1, "piece": "demo", "times": 64, "bpm": 10}',
  '{"call": "edit", "key": "tempo.goal"}',
  '{"call": "edit", "key": "no.such.table", "value": "1"}',
  '{"call": "edit", "key": "tempo.goal", "value": "\\"fast\\""}',
  '{"call": "edit", "key": "tempo.goal", "value": "1\\ntitle = 2"}',
  '{"call": "add_idea", "rule": "1 +"}',
  '{"call": "add_idea", "rule": "1 2", "kind": "riff"}',
  '{"call": "move_idea", "idea": 1, "to": 99}',
  '{"call": "remove_idea", "idea": 99}',
  '{"call": "unset", "key": "key"}',
  '{"call": "edit", "key": "tempo.goal", "words": "fast"}',
  '{"call": "edit", "key": "tempo.goal", "words": "90", "value": "90"}',
  '{"call": "new_lesson", "title": "A", "key": "H"}',
  '{"call": "repair", "finding": -1}',
  '{"call": "repair", "finding": 1000}',
  '{"call": "replace", "text": 1}',
  '{"call": "explain"}',
  '{"call": "explain", "text": "6: 3 5 99999999999999999999"}',
  '{"call": "explain", "text": "no notes at all"}',
  '{"call": "sheet", "idea": 1, "idea": 2, "x\\u0000y": []}',
  "\u0000",
  "[".repeat(100000),
];

const values = {
  key: ['"C dorian"', '"F# minor"', '"Bb mixolydian"', '"A harmonic minor"', '"E dorian"', '"H dorian"'],
  tuning: ['"standard"', '"drop D"', '["A1","E2","A2","D3","G3","B3","E4"]'],
  capo: ["0", "2", "5", "30"],
  frets: ["22", "24", "12"],
  scale_length: ["648", "610.5", "864"],
  meter: ['"4/4"', '"3/4"', '"6/8"', '"2+2+3/8"', '"4/0"'],
  "tempo.slow": ["50", "72.5"],
  "tempo.goal": ["120", "133.25", "200"],
  clear_after: ['"upstroke"', '"downstroke"', '"both"', '"none"', '"never"'],
  reach: ["90", "110", "140.5"],
  "layout.kind": ['"per-string"', '"position"', '"octaves"'],
  "layout.from": ["0", "3", "5", "7", "9", "12", "23"],
  "layout.notes": ["2", "3", "4"],
  "vamp.chords": ['"Em7 | A7"', '"Dm7 | G7 | Cmaj7 | A7b9"', '"C"', '"%"'],
  "vamp.rhythm": ['"sixteenths"', '"eighths"', '"whole"'],
  "vamp.swing": ['"2:1"', '"1:1"'],
  title: ['"Another title"', '"Ünï ♭ <b>&\\"</b>"'],
};
const own = {
  cell: ['"1 3 2 3 + 2 1"', '"1 2 3"', '"1! h2 p1 + 3"', '"1x2 r 2 3 + 1"', '"3 2 1 - 1 2"', '"1 #2 3 + +"'],
  "carry.strings": ["1", "0", "-1", "2"],
  "carry.steps": ["0", "1", "-1", "2"],
  "start.string": ["6", "5", "1"],
  "start.beat": ["0", "-1", "0.5", "2"],
  repeats: ['"fit"', "1", "3", "6"],
  back: ['"none"', '"retrograde"', '"mirrored"'],
  notes_per_beat: ["[4]", "[4, 6]", "[3, 5, 7]", "[13]"],
  picking: ['"alternate"', '"grid"', '"economy"'],
  first_stroke: ['"down"', '"up"'],
  ending: ['"auto"', '"none"', '{ kind = "hold" }', '{ degree = "5", on = "bar" }'],
  "ending.on": ['"beat"', '"strong"', '"bar"'],
  fingers: ["[]", "[{ note = 1, finger = 2 }]"],
  edits: ["[]", "[{ repeat = 1, note = 2, fret = 14 }]"],
  name: ['"Anew"', '""'],
};

/** Requests of `count` random edits, each followed by what a page asks after a keystroke. */
export function edits(texts, count, seed) {
  const next = random(seed);
  const pick = (list) => list[next(list.length)];
  const script = [];
  for (let i = 0; i < count; ++i) {
    if (i % 10 === 0) script.push({ open: texts[(i / 10) % texts.length] });
    const idea = 1 + next(2);
    const table = next(3) === 0 ? values : own;
    const key = pick(Object.keys(table));
    const where = table === own || next(4) === 0 ? `idea[${idea}].${key}` : key;
    script.push({ call: "edit", key: where, value: pick(table[key]) });
    script.push({ call: "sentences" }, { call: "findings" }, { call: "mends" }, { call: "notes" });
    const style = i % 2 === 0 ? "living" : "rich";
    const width = 390 + 10 * next(100);
    script.push({
      call: "reshape",
      idea,
      change: pick(["move", "accent", "slur", "rest", "length", "insert", "remove", "rule_length"]),
      note: next(12),
      string: 1 + next(6),
      ordinal: next(6),
      on: next(2) === 0,
      units: next(5),
      slur: pick(["none", "by_pitch", "slide"]),
    });
    script.push({ call: "loom", idea, style, hands: next(2) === 0 }, { call: "neck", idea, style }, { call: "sheet", idea, width, style });
    if (i % 10 === 1) script.push({ call: "edit", key: "key", words: "g dorian" }, { call: "edit", key: "layout.from", words: "fret 5" });
    if (i % 10 === 3) script.push({ call: "add_idea", rule: pick(own.cell).slice(1, -1) }, { call: "move_idea", idea: 1 + next(4), to: 1 + next(4) });
    if (i % 10 === 8) script.push({ call: "unset", key: where }, { call: "remove_idea", idea: 1 + next(5) });
    if (i % 10 === 5) script.push({ call: "repair", finding: next(2) });
    if (i % 20 === 7) script.push({ call: "choices", key: where });
    if (i % 20 === 9) script.push({ call: "musicxml" }, { call: "text_tab" }, { call: "midi" });
    if (i % 50 === 11) script.push({ call: "voice", idea, piece: "loop", bpm: 60 + next(200) }, { call: "band", idea, bpm: 60 + next(200) });
  }
  return script;
}
