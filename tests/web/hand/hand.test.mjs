// Hands on loom and neck in Chromium: by finger, mouse and keys the same rule. The module's path comes from
// FRETLOOM_ENGINE_WASM, else from the checkout's own build.
import assert from "node:assert/strict";
import { copyFileSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, describe, test } from "node:test";
import { build } from "esbuild";
import { axe, folder, launch, open, root, serveFolder } from "../browser.mjs";

const LESSON = readFileSync(join(root, "demos/climbing-sixes.toml"), "utf8");
const EMPTY = 'format = 1\ntitle = "New"\nkey = "E dorian"\nlayout.from = 12\n';

let browser;
let site;
let server;
before(async () => {
  site = folder("hand");
  await build({ absWorkingDir: root, entryPoints: ["tests/web/hand/page.ts"], outfile: join(site.path, "page.js"), bundle: true, format: "iife", target: "es2022" });
  copyFileSync(process.env["FRETLOOM_ENGINE_WASM"] || join(root, "build/wasm/engine.wasm"), join(site.path, "engine.wasm"));
  copyFileSync(join(root, "web/shared/drawing.css"), join(site.path, "drawing.css"));
  copyFileSync(join(root, "web/studio/hand.css"), join(site.path, "hand.css"));
  writeFileSync(join(site.path, "index.html"), `<!doctype html><html lang="en"><meta charset="utf-8"><title>Hands</title>
<meta name="viewport" content="width=device-width"><link rel="icon" href="data:,"><link rel="stylesheet" href="/drawing.css"><link rel="stylesheet" href="/hand.css">
<style>html { background: var(--tone-paper); color: var(--tone-ink); font: 19px serif } body { margin: 0 } .stage { position: relative; margin-top: 60px } .drawing svg { display: block } main { padding-bottom: 1200px }</style>
<main><h1>Hands</h1><div class="stage" id="loom"><div class="drawing"></div><div class="over"></div></div>
<div class="stage" id="neck"><div class="drawing"></div><div class="over"></div></div></main><script src="/page.js"></script></html>`);
  server = await serveFolder(site.path);
  browser = await launch();
});
after(async () => {
  await browser?.close();
  await server?.close();
  site?.remove();
});

/** A page with one lesson on it, and hands for it. */
async function stage(lesson, idea, options = {}, hand = "right") {
  const opened = await open(browser, server.address, { width: 1000, ...options });
  const { page } = opened;
  await page.evaluate(([text, number, side]) => window.start(text, number, side), [lesson, idea, hand]);
  const cdp = await opened.context.newCDPSession(page);
  const offset = (id) => page.evaluate((which) => {
    const { left, top } = document.querySelector(`#${which} .over`).getBoundingClientRect();
    return { left, top };
  }, id);
  /** Where a place of the loom is on the screen. */
  const at = async ({ row = 0, x, string, ordinal }) => {
    const { loom } = await page.evaluate(() => ({ loom: window.scene.loom().loom }));
    const lane = loom.rows[row].lanes.find((one) => one.string === string);
    const { left, top } = await offset("loom");
    return { x: left + x, y: top + lane.y - (ordinal - 1) * lane.step };
  };
  const token = async (number, repeat = 1) => {
    const loom = await page.evaluate(() => window.scene.loom().loom);
    const found = loom.tokens.find((one) => one.token === number && one.repeat === repeat);
    return { ...found, unit: loom.unit };
  };
  const noteAt = async (number, repeat = 1) => at(await token(number, repeat));
  const touch = (type, points) => cdp.send("Input.dispatchTouchEvent", { type, touchPoints: points });
  const tap = async ({ x, y }) => {
    await touch("touchStart", [{ x, y }]);
    await touch("touchEnd", []);
  };
  /** Without waiting for the page between them. */
  const tapTwice = (point) => {
    const types = ["touchStart", "touchEnd", "touchStart", "touchEnd"];
    return Promise.all(types.map((type) => touch(type, type === "touchStart" ? [point] : [])));
  };
  /** A finger goes from one point to another in steps. */
  const sweep = async (from, to, steps = 8) => {
    await touch("touchStart", [from]);
    for (let i = 1; i <= steps; ++i) {
      await touch("touchMove", [{ x: from.x + ((to.x - from.x) * i) / steps, y: from.y + ((to.y - from.y) * i) / steps }]);
      await page.waitForTimeout(15);
    }
  };
  const finger = async (from, to) => {
    await sweep(from, to);
    await touch("touchEnd", []);
  };
  const mouse = async (from, to) => {
    await page.mouse.move(from.x, from.y);
    await page.mouse.down();
    await page.mouse.move((from.x + to.x) / 2, (from.y + to.y) / 2, { steps: 3 });
    await page.mouse.move(to.x, to.y, { steps: 3 });
    await page.waitForTimeout(40);
    await page.mouse.up();
  };
  const rule = () => page.evaluate(() => window.scene.rule());
  const becomes = async (wanted) => {
    await page.waitForFunction((text) => window.scene.rule() === text, wanted, { timeout: 15000 }).catch(() => {});
    assert.equal(await rule(), wanted);
    await page.waitForTimeout(30);
  };
  const focus = async (number) => page.evaluate((n) => document.querySelectorAll("#loom .hand-note")[n].focus(), number);
  return { ...opened, at, token, noteAt, tap, touch, tapTwice, sweep, finger, mouse, rule, becomes, focus, offset };
}

describe("a finger at 390 pixels", () => {
  test("lays a rule from nothing", async () => {
    const s = await stage(EMPTY, 1, { width: 390, touch: true });
    assert.equal(await s.rule(), "");
    const blank = await s.page.evaluate(() => window.scene.loom().loom);
    await s.tap(await s.at({ x: blank.rows[0].x + blank.unit / 2, string: 6, ordinal: 1 }));
    await s.becomes("1");
    const rest = [[6, 3, "1 3"], [6, 2, "1 3 2"], [6, 3, "1 3 2 3"], [5, 2, "1 3 2 3 + 2"], [5, 1, "1 3 2 3 + 2 1"]];
    for (const [string, ordinal, wanted] of rest) {
      const last = (await s.rule()).split(" ").filter((word) => /\d/.test(word)).length - 1;
      const { x, unit, row } = await s.token(last);
      await s.tap(await s.at({ row, x: x + unit / 2, string, ordinal }));
      await s.becomes(wanted);
    }
    assert.match((await s.page.evaluate(() => window.scene.said)).at(-1), /^Note 6 of 6: string note 1, string 5, fret 12\.$/);
    assert.deepEqual(s.faults, []);
    await s.context.close();
  });

  test("moves, accents, holds and stretches", async () => {
    const s = await stage(LESSON, 1, { width: 390, touch: true });
    const from = await s.noteAt(2);
    await s.finger(from, await s.at({ ...(await s.token(2)), string: 5, ordinal: 1 }));
    await s.becomes("1 3 + 1 - 3 + 2 1");
    await s.finger(await s.noteAt(2), await s.at({ ...(await s.token(2)), string: 6, ordinal: 2 }));
    await s.becomes("1 3 2 3 + 2 1");
    // A note of a later repetition is the rule's own.
    await s.finger(await s.noteAt(2, 3), await s.at({ ...(await s.token(2, 3)), string: 4, ordinal: 1 }));
    await s.becomes("1 3 1 3 + 2 1");
    await s.tapTwice(await s.noteAt(3));
    await s.becomes("1 3 1 3! + 2 1");
    await s.touch("touchStart", [await s.noteAt(5)]);
    await s.page.locator(".hand-words").waitFor({ timeout: 3000 });
    await s.touch("touchEnd", []);
    const words = await s.page.locator(".hand-word").allTextContents();
    assert.deepEqual(words, ["hear it from here", "accent", "slur", "slide", "rest", "longer", "remove"]);
    for (const word of await s.page.locator(".hand-word").all()) {
      const box = await word.boundingBox();
      assert.ok(box.width >= 24 && box.height >= 24, JSON.stringify(box));
      assert.ok(box.x >= 0 && box.x + box.width <= 390, JSON.stringify(box));
    }
    await s.page.locator(".hand-word", { hasText: "slur" }).tap();
    await s.becomes("1 3 1 3! + 2 p1");
    const edge = await s.page.locator(".hand-edge").boundingBox();
    assert.ok(edge.width >= 44 && edge.height >= 28);
    const { unit } = await s.token(0);
    const middle = { x: edge.x + edge.width / 2, y: edge.y + edge.height / 2 };
    await s.finger(middle, { x: middle.x - 2 * unit, y: middle.y });
    await s.becomes("1 3 1 3!");
    assert.deepEqual(s.faults, []);
    await s.context.close();
  });

  test("every repetition follows under the finger, and a drag that is given up changes nothing", async () => {
    const s = await stage(LESSON, 1, { width: 390, touch: true });
    const from = await s.noteAt(2);
    const to = await s.at({ ...(await s.token(2)), string: 5, ordinal: 3 });
    await s.sweep(from, to);
    await s.page.waitForFunction(() => window.scene.shownRule() === "1 3 + 3 - 3 + 2 1");
    assert.equal(await s.rule(), "1 3 2 3 + 2 1");
    await s.touch("touchCancel", []);
    await s.page.waitForFunction(() => window.scene.shownRule() === "1 3 2 3 + 2 1");
    assert.equal(await s.rule(), "1 3 2 3 + 2 1");
    await s.context.close();
  });

  test("scrolls the page by a sweep beside the notes, not by one on a note", async () => {
    const s = await stage(LESSON, 1, { width: 390, touch: true });
    const beside = await s.at({ x: (await s.token(1)).x, string: 2, ordinal: 2 });
    await s.finger({ ...beside, y: beside.y + 60 }, { ...beside, y: beside.y - 90 });
    await s.page.waitForTimeout(200);
    assert.ok((await s.page.evaluate(() => scrollY)) > 40);
    assert.equal(await s.rule(), "1 3 2 3 + 2 1");
    await s.page.waitForTimeout(500);  // it glides on
    await s.page.evaluate(() => scrollTo(0, 0));
    await s.page.waitForTimeout(200);
    await s.finger(await s.noteAt(0), await s.at({ ...(await s.token(0)), string: 4, ordinal: 1 }));
    await s.becomes("1 -- 3 2 3 + 2 1");
    assert.equal(await s.page.evaluate(() => scrollY), 0);
    await s.context.close();
  });
});

/** Each change by hand and by keys: the note it is done to, what the mouse does, what is pressed. */
const CHANGES = [
  { name: "another note of the string", token: 2, hand: (s) => drag(s, 2, 6, 1), keys: ["ArrowDown"], rule: "1 3 1 3 + 2 1" },
  { name: "a digit", token: 2, hand: (s) => drag(s, 2, 6, 3), keys: ["3"], rule: "1 3 3 3 + 2 1" },
  { name: "a thinner string", token: 2, hand: (s) => drag(s, 2, 5, 2), keys: ["+"], rule: "1 3 + 2 - 3 + 2 1" },
  { name: "a thicker string", token: 4, hand: (s) => drag(s, 4, 6, 2), keys: ["-"], rule: "1 3 2 3 2 + 1" },
  { name: "the first note", token: 0, hand: (s) => drag(s, 0, 5, 1), keys: ["+"], rule: "1 - 3 2 3 + 2 1" },
  { name: "an accent", token: 1, hand: async (s) => { const p = await s.noteAt(1); await s.page.mouse.dblclick(p.x, p.y); }, keys: ["!"], rule: "1 3! 2 3 + 2 1" },
  { name: "a slur", token: 1, hand: (s) => choose(s, 1, "slur"), keys: ["h"], rule: "1 h3 2 3 + 2 1" },
  { name: "a slur downward", token: 5, hand: (s) => choose(s, 5, "slur"), keys: ["p"], rule: "1 3 2 3 + 2 p1" },
  { name: "a slide", token: 2, hand: (s) => choose(s, 2, "slide"), keys: ["s"], rule: "1 3 s2 3 + 2 1" },
  { name: "a rest", token: 3, hand: (s) => choose(s, 3, "rest"), keys: ["r"], rule: "1 3 2 r + 2 1" },
  { name: "a longer note", token: 3, hand: (s) => choose(s, 3, "longer"), keys: ["x"], rule: "1 3 2 3x2 + 2 1" },
  { name: "one note less", token: 4, hand: (s) => choose(s, 4, "remove"), keys: ["Delete"], rule: "1 3 2 3 + 1" },
  {
    name: "one note more", token: 1,
    hand: async (s) => { const { x, unit } = await s.token(1); const p = await s.at({ x: x + 0.4 * unit, string: 5, ordinal: 2 }); await s.page.mouse.click(p.x, p.y); },
    keys: ["n", "+", "2"], rule: "1 3 + 2 - 2 3 + 2 1",
  },
  { name: "a longer rule", token: "edge", hand: (s) => stretch(s, 2), keys: ["ArrowRight", "ArrowRight"], rule: "1 3 2 3 + 2 1 - 1 3" },
  { name: "a shorter rule", token: "edge", hand: (s) => stretch(s, -3), keys: ["ArrowLeft", "ArrowLeft", "ArrowLeft"], rule: "1 3 2" },
];
async function drag(s, token, string, ordinal) {
  await s.mouse(await s.noteAt(token), await s.at({ ...(await s.token(token)), string, ordinal }));
}
async function choose(s, token, word) {
  const { x, y } = await s.noteAt(token);
  await s.page.mouse.click(x, y, { button: "right" });
  await s.page.locator(".hand-word", { hasText: word }).first().click();
}
async function stretch(s, by) {
  const edge = await s.page.locator(".hand-edge").boundingBox();
  const { unit } = await s.token(0);
  const from = { x: edge.x + edge.width / 2, y: edge.y + edge.height / 2 };
  await s.mouse(from, { x: from.x + by * unit, y: from.y });
}

describe("by hand and by keys the same rule", () => {
  for (const { name, token, hand, keys, rule } of CHANGES) {
    test(name, async () => {
      const s = await stage(LESSON, 1);
      await hand(s);
      await s.becomes(rule);
      const text = await s.page.evaluate(() => window.scene.text());
      assert.deepEqual(s.faults, []);
      await s.context.close();
      const t = await stage(LESSON, 1);
      if (token === "edge") await t.page.locator(".hand-edge").focus();
      else await t.focus(token);
      for (const key of keys) await t.page.keyboard.press(key);
      await t.becomes(rule);
      assert.equal(await t.page.evaluate(() => window.scene.text()), text);
      assert.deepEqual(t.faults, []);
      await t.context.close();
    });
  }

  test("arrows choose, Enter plays from there, a way back gives the same text", async () => {
    const s = await stage(LESSON, 1);
    await s.focus(0);
    for (const key of ["ArrowRight", "ArrowRight", "Enter"]) await s.page.keyboard.press(key);
    assert.deepEqual(await s.page.evaluate(() => window.scene.heard), [2]);
    for (const key of ["+", "-", "!", "!", "ArrowUp", "ArrowDown", "h"]) await s.page.keyboard.press(key);
    await s.becomes("1 3 p2 3 + 2 1");
    await s.page.keyboard.press("p");
    await s.becomes("1 3 2 3 + 2 1");
    assert.equal(await s.page.evaluate(() => window.scene.text()), LESSON);
    await s.page.keyboard.press("End");
    await s.page.keyboard.press("ArrowDown");
    await s.page.waitForFunction(() => /counted from 1/.test(document.querySelector("#loom .hand-why").textContent));
    assert.equal(await s.rule(), "1 3 2 3 + 2 1");
    assert.equal(await s.page.locator('#loom [aria-live="polite"]').textContent(), "A string's notes are counted from 1.");
    await s.context.close();
  });

  test("Esc gives a drag up", async () => {
    const s = await stage(LESSON, 1);
    const from = await s.noteAt(2);
    const to = await s.at({ ...(await s.token(2)), string: 4, ordinal: 2 });
    await s.page.mouse.move(from.x, from.y);
    await s.focus(2);
    await s.page.mouse.down();
    await s.page.mouse.move(to.x, to.y, { steps: 4 });
    await s.page.waitForFunction(() => window.scene.shownRule() === "1 3 ++ 2 -- 3 + 2 1");
    await s.page.keyboard.press("Escape");
    await s.page.mouse.up();
    await s.page.waitForFunction(() => window.scene.shownRule() === "1 3 2 3 + 2 1");
    assert.equal(await s.page.evaluate(() => window.scene.text()), LESSON);
    await s.context.close();
  });
});

describe("the neck", () => {
  const place = async (s, string, fret) => {
    await s.page.locator("#neck").scrollIntoViewIfNeeded();
    const { left, top } = await s.offset("neck");
    const { box } = await s.page.evaluate(([one, other]) => window.scene.neck().places.find((p) => p.string === one && p.fret === other), [string, fret]);
    return { x: left + box.x + box.width / 2, y: top + box.y + box.height / 2 };
  };
  const from = (s) => s.page.evaluate(() => /from = (\d+)/.exec(window.scene.text())[1]);

  for (const hand of ["right", "left"]) {
    test(`a tapped place is a note more, ${hand}-handed`, async () => {
      const s = await stage(LESSON, 1, { width: 390, touch: true }, hand);
      await s.focus(5);
      await s.tap(await place(s, 5, 16));
      await s.becomes("1 3 2 3 + 2 1 3");
      assert.deepEqual(s.faults, []);
      await s.context.close();
    });

    test(`a drag moves the position to the nearest legal fret, ${hand}-handed`, async () => {
      const s = await stage(LESSON, 1, {}, hand);
      const here = await place(s, 6, 12);
      const frets = await s.page.evaluate(() => window.scene.neck().neck.rows[0].frets);
      // Fret 8 has no note of the scale: 7 is nearer than 9 where the finger is a little below it.
      await s.mouse(here, { x: here.x + (frets[8] - frets[12]) + 0.1 * (frets[7] - frets[8]), y: here.y });
      await s.page.waitForFunction(() => /from = 7/.test(window.scene.text()));
      assert.equal((await s.page.evaluate(() => window.scene.said)).at(-1), "From fret 7.");
      await s.context.close();
    });
  }

  test("what cannot be played says why and where the nearest is", async () => {
    const s = await stage(LESSON, 1);
    const here = await place(s, 6, 12);
    const frets = await s.page.evaluate(() => window.scene.neck().neck.rows[0].frets);
    await s.page.mouse.move(here.x, here.y);
    await s.page.mouse.down();
    await s.page.mouse.move(here.x + frets[22] - frets[12], here.y, { steps: 5 });
    await s.page.mouse.move(here.x + frets[22] - frets[12], here.y + 1);
    await s.page.waitForFunction(() => !document.querySelector("#neck .hand-why").hidden);
    await s.page.mouse.move(here.x + frets[22] - frets[12], here.y);
    assert.match(await s.page.locator("#neck .hand-why").textContent(), /fret 26.*Nearest is fret \d+\.$/);
    await s.page.mouse.up();
    await s.page.waitForFunction(() => !/from = 12/.test(window.scene.text()));
    await s.context.close();
  });

  test("by keys", async () => {
    const s = await stage(LESSON, 1);
    await s.page.locator("#neck .hand-position").focus();
    await s.page.keyboard.press("ArrowLeft");
    await s.page.waitForFunction(() => /from = 10/.test(window.scene.text()));
    await s.page.keyboard.press("ArrowRight");
    await s.page.waitForFunction(() => /from = 12/.test(window.scene.text()));
    assert.equal(await from(s), "12");
    await s.focus(5);
    await s.page.evaluate(() => document.querySelector('#neck .hand-note[aria-label^="String 5, fret 14"]').focus());
    await s.page.keyboard.press("ArrowRight");
    await s.page.keyboard.press("Enter");
    await s.becomes("1 3 2 3 + 2 1 3");
    await s.context.close();
  });
});

test("nothing that a person who does not see would miss", async () => {
  for (const options of [{ width: 390, touch: true }, { width: 1440, dark: true }]) {
    const s = await stage(LESSON, 1, options);
    assert.deepEqual(await axe(s.page), []);
    await s.focus(1);
    await s.page.keyboard.press("ContextMenu");
    await s.page.locator(".hand-words").waitFor();
    assert.deepEqual(await axe(s.page), []);
    assert.deepEqual(s.faults, []);
    await s.context.close();
  }
});
