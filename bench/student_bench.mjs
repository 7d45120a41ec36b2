// How quickly the student's page answers, in Chromium at 390 pixels with touch, from a disk: node bench/student_bench.mjs [DEMO]
// First paint, a press until its first sound, the shown note against the one that is heard, tasks above 50 ms, and bytes; plain,
// and with the page's thread slowed four times. Milliseconds. The page is build/web/student/practice.html.
import { readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { folder, launch, open, root } from "../tests/web/browser.mjs";

const TIMES = 12;
const COUNT_IN = ".parts .word >> nth=2";

const at = (list, part) => [...list].sort((a, b) => a - b)[Math.min(list.length - 1, Math.floor(part * list.length))];
const row = (name, list) =>
  console.log(`${name.padEnd(48)} least ${at(list, 0).toFixed(0).padStart(5)}   median ${at(list, 0.5).toFixed(0).padStart(5)}   95% ${at(list, 0.95).toFixed(0).padStart(5)}`);

const place = folder("student-bench");
const built = join(root, "build/web/student/practice.html");
const lesson = JSON.stringify(readFileSync(join(root, `demos/${process.argv[2] ?? "climbing-sixes"}.toml`), "utf8"));
const file = join(place.path, "practice.html");
writeFileSync(file, readFileSync(built, "utf8").replace('"@LESSON@"', () => lesson.replace(/[<>&]/g, (c) => `\\u00${c.charCodeAt(0).toString(16)}`)));

const browser = await launch();
const pause = (ms) => new Promise((done) => setTimeout(done, ms));
const drawn = (page) => page.waitForFunction(() => globalThis.practice !== undefined && document.querySelector(".sheet .fret") !== null);

/** A page on the lesson, `slower` times slower. */
async function opened(slower) {
  const window = await open(browser, "about:blank", { width: 390, height: 844, touch: true, scale: 2 });
  const devtools = await window.context.newCDPSession(window.page);
  await devtools.send("Emulation.setCPUThrottlingRate", { rate: slower });
  await window.page.addInitScript(() => {
    globalThis.tasks = [];
    new PerformanceObserver((list) => globalThis.tasks.push(...list.getEntries().map(({ startTime, duration }) => ({ startTime, duration })))).observe({ type: "longtask", buffered: true });
  });
  await window.page.goto(`file://${file}`);
  await drawn(window.page);
  return window;
}

for (const slower of [1, 4]) {
  const how = slower === 1 ? "" : `, slowed ${slower} times`;
  const paints = [];
  const readies = [];
  for (let i = 0; i < TIMES; ++i) {
    const { page, context } = await opened(slower);
    paints.push(await page.evaluate(() => performance.getEntriesByName("first-contentful-paint")[0].startTime));
    readies.push(await page.evaluate(() => performance.now()));
    await context.close();
  }
  row(`first paint${how}`, paints);
  row(`opened to loom and sheet${how}`, readies);

  // From the touch as the browser has it until the clock of what is heard stands in a note, or in the count-in.
  const { page, context } = await opened(slower);
  await pause(1500);
  const press = () =>
    page.evaluate(() => {
      globalThis.heard = new Promise((done) => {
        document.addEventListener("pointerdown", ({ timeStamp }) => {
          const { player } = globalThis.practice;
          const look = () => {
            const now = performance.now();
            const sounds = player.counting ? player.heardAt(now) >= player.countsFrom : player.noteAt(player.heardAt(now)) !== undefined;
            if (sounds) done(now - timeStamp);
            else setTimeout(look);
          };
          look();
        }, { once: true, capture: true });
      });
    }).then(() => page.tap(".play")).then(() => page.evaluate(() => globalThis.heard)).then(async (time) => {
      await page.tap(".play");
      await pause(400);
      return time;
    });
  for (const counted of [true, false]) {
    if (!counted) await page.tap(COUNT_IN);
    const presses = [];
    for (let i = 0; i < TIMES; ++i) presses.push(await press());
    row(`press to first sound, ${counted ? "count-in" : "lick"}${how}`, presses);
    if (counted) row(`  the page's first press${how}`, presses.slice(0, 1));
  }

  // How long after its sound a note is shown; each picture is seen half a frame after its script.
  await page.evaluate(() => {
    const { player } = globalThis.practice;
    const shown = player.onNote;
    globalThis.late = [];
    player.onNote = (note) => {
      shown(note);
      const at = player.heardAt(performance.now()) * 48000;
      const deck = player.decks.findLast(({ start }) => start <= at);
      const begin = deck?.rendering.notes.find((one) => one.note === note)?.begin;
      if (begin === undefined) return;
      const { frames } = deck.rendering;
      globalThis.late.push(((((deck.frameAt(at) - begin) % frames) + frames * 1.5) % frames - frames / 2) / 48 + 8);
    };
  });
  await page.tap(".play");
  await pause(12000);
  await page.tap(".play");
  const late = await page.evaluate(() => globalThis.late);
  const far = late.map(Math.abs);
  row(`shown note from its sound, either way${how}`, far);
  await context.close();
}

console.log("\ntasks above 50 ms, slowed four times".padEnd(50), "count   longest   all");
const { page, context } = await opened(4);
const phase = async (name, doing, seconds) => {
  const began = name.startsWith("open") ? 0 : await page.evaluate(() => performance.now());
  await doing();
  await pause(seconds * 1000);
  const tasks = await page.evaluate((from) => globalThis.tasks.filter(({ startTime }) => startTime >= from).map(({ duration }) => duration), began);
  console.log(name.padEnd(48), String(tasks.length).padStart(6), String(Math.round(Math.max(0, ...tasks))).padStart(9), String(Math.round(tasks.reduce((a, b) => a + b, 0))).padStart(6));
};
await phase("open, until drawn and 1.5 s on", async () => undefined, 1.5);
await page.tap(COUNT_IN);
await phase("Play, 4 s", () => page.tap(".play"), 4);
await phase("another tempo while it sounds, 2.5 s", () => page.evaluate(() => globalThis.practice.tempo(90, false)), 2.5);
await phase("another idea while it sounds, 2.5 s", () => page.evaluate(() => void globalThis.practice.choose(2)), 2.5);
await page.evaluate(() => globalThis.practice.stop());
await phase("another key, 2 s", () => page.evaluate(() => void globalThis.practice.change({ hand: "right", size: 16, key: "D dorian", from: 10 })), 2);
await phase("hide the notes, 0.7 s", () => page.evaluate(() => globalThis.practice.mode("hidden")), 0.7);
await context.close();
await browser.close();
place.remove();

console.log();
for (const name of ["practice.html", "practice.webmanifest", "practice-worker.js"]) console.log(`${name.padEnd(48)} ${statSync(join(root, "build/web/student", name)).size} bytes`);
