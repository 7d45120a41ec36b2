// Where a finger is on a loom, in the loom's own pixels: which note it holds, which place it points at. Pure.

import type { Band, DrawnToken, Lane, LoomHands, RuleNote } from "../engine/calls.js";
import type { Point } from "./hand_host.js";

/** A string and the number of its note, as they are drawn. */
export interface LoomPlace {
  readonly string: number;
  readonly ordinal: number;
}

/** Where a new note would go: before `token`, read in a repetition; or in the place of a rest. */
export interface Gap extends LoomPlace {
  readonly token: number;
  readonly repeat: number;
  readonly rest: boolean;
  /** Where it is shown. */
  readonly at: Point;
}

export function heightOf(lane: Lane, ordinal: number): number {
  return lane.y - (ordinal - 1) * lane.step;
}

function middleOf(lane: Lane): number {
  return (heightOf(lane, lane.low) + heightOf(lane, lane.high)) / 2;
}

function nearest<T>(items: readonly T[], distance: (item: T) => number): T | undefined {
  let best: T | undefined;
  let least = Infinity;
  for (const item of items) {
    const here = distance(item);
    if (here < least) [best, least] = [item, here];
  }
  return best;
}

/** The string and note whose height is nearest: of the nearest lane, the nearest of its notes. */
export function placeAt(lanes: readonly Lane[], y: number): LoomPlace {
  const lane = nearest(lanes, (one) => Math.abs(y - middleOf(one)))!;
  const ordinal = lane.step > 0 ? Math.round((lane.y - y) / lane.step) + 1 : 1;
  return { string: lane.string, ordinal: Math.min(lane.high, Math.max(Math.max(1, lane.low), ordinal)) };
}

export function laneOf(lanes: readonly Lane[], string: number): Lane | undefined {
  return lanes.find((lane) => lane.string === string);
}

/** Where a token stands; a rest in the middle of the lanes. */
export function pointOf(loom: LoomHands, token: DrawnToken): Point {
  const lanes = loom.rows[token.row]!.lanes;
  const lane = token.string === null ? undefined : laneOf(lanes, token.string);
  if (lane === undefined) return { x: token.x, y: (middleOf(lanes[0]!) + middleOf(lanes.at(-1)!)) / 2 };
  return { x: token.x, y: heightOf(lane, token.ordinal ?? 1) };
}

/** The row whose lanes are nearest. */
export function rowAt(loom: LoomHands, y: number): number {
  const rows = loom.rows.map((row, i) => ({ i, top: middleOf(row.lanes[0]!), foot: middleOf(row.lanes.at(-1)!) }));
  return nearest(rows, ({ top, foot }) => (y < top ? top - y : y > foot ? y - foot : 0))!.i;
}

/** How far from a note's middle it is still held, up and down; sideways it shares the room with its neighbours. */
export type Reach = number;

/** The note under a finger. Rests are not held, they are filled. Where the rule ends, and where a repetition begins,
    there is more room between the notes: there a tap makes the rule longer. */
export function noteAt(loom: LoomHands, point: Point, reach: Reach): DrawnToken | undefined {
  const last = loom.rule.length - 1;
  const isHeld = (token: DrawnToken) => {
    const at = pointOf(loom, token);
    const aside = point.x - at.x;
    const atEdge = aside > 0 ? token.token === (token.backward ? 0 : last) : token.token === (token.backward ? last : 0);
    return Math.abs(point.y - at.y) <= reach && Math.abs(aside) <= (atEdge ? 0.3 : 0.45) * loom.unit;
  };
  const held = loom.tokens.filter((token) => token.note !== null && isHeld(token));
  return nearest(held, (token) => {
    const at = pointOf(loom, token);
    return Math.hypot(at.x - point.x, at.y - point.y);
  });
}

/** Where a tap puts a new note; nothing outside the repetitions. */
export function gapAt(loom: LoomHands, point: Point): Gap | undefined {
  const at = rowAt(loom, point.y);
  const row = loom.rows[at]!;
  const place = placeAt(row.lanes, point.y);
  const y = heightOf(laneOf(row.lanes, place.string)!, place.ordinal);
  if (loom.rule.length === 0) return { ...place, token: 0, repeat: 1, rest: false, at: { x: row.x + loom.unit / 2, y } };
  const band = row.bands.find(({ x, width }) => point.x >= x && point.x < x + width) ?? edgeBand(row.bands, point.x, loom.unit);
  if (band === undefined || band.kind === "ending") return undefined;
  const tokens = loom.tokens.filter((token) => token.row === at && token.repeat === band.repeat);
  const token = nearest(tokens, (one) => Math.abs(one.x - point.x));
  if (token === undefined) return undefined;
  const { repeat } = token;
  if (token.note === null && Math.abs(token.x - point.x) <= loom.unit / 2)
    return { ...place, token: token.token, repeat, rest: true, at: { x: token.x, y } };
  const last = token === tokens.at(-1);
  // A rule grows at its end: there a finger needs not be exact.
  const after = point.x > token.x - (last ? loom.unit / 4 : 0);
  const first = tokens[0] === token && token.token === 0;
  if (!after && first && repeat > 1 && !token.backward)
    return { ...place, token: loom.rule.length, repeat: repeat - 1, rest: false, at: { x: token.x - loom.unit / 2, y } };
  const held = after ? loom.unit * (loom.rule[token.token]!.units - 0.5) : -loom.unit / 2;
  const x = Math.min(Math.max(token.x + held, row.x), row.x + row.width);
  return { ...place, token: token.token + (after !== token.backward ? 1 : 0), repeat, rest: false, at: { x, y } };
}

/** The last band of a row reaches a little further, for what is added at its end. */
function edgeBand(bands: readonly Band[], x: number, unit: number): Band | undefined {
  const last = bands.at(-1);
  return last !== undefined && x >= last.x + last.width && x < last.x + last.width + unit ? last : undefined;
}

/** The rule's own notes as they are drawn first, in the rule's order. */
export function ownTokens(loom: LoomHands): DrawnToken[] {
  return loom.tokens.filter((token) => token.repeat === 1);
}

/** Where the rule's band ends, and in which row; nothing while there is no rule. */
export function ruleEnd(loom: LoomHands): { readonly row: number; readonly x: number; readonly y: number } | undefined {
  for (let row = 0; row < loom.rows.length; ++row) {
    const { bands, lanes } = loom.rows[row]!;
    const band = bands.find(({ kind, ends }) => kind === "rule" && ends);
    if (band !== undefined && loom.rule.length > 0) return { row, x: band.x + band.width, y: middleOf(lanes.at(-1)!) };
  }
  return undefined;
}

/** Time of the whole rule, in notes. */
export function unitsOf(loom: LoomHands): number {
  return loom.rule.reduce((sum, { units }) => sum + units, 0);
}

/** Whether the rule is its first `own` notes and these again. */
export function repeats(loom: LoomHands, own: number): boolean {
  const bare = (note: RuleNote) => JSON.stringify({ ...note, said: "" });
  return own > 0 && loom.rule.every((note, i) => bare(note) === bare(loom.rule[i % own]!));
}
