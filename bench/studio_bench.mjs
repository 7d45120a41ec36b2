// How quickly the studio answers, in Chromium: node bench/studio_bench.mjs [PROGRAM]
// A keystroke in the rule of a lesson of five ideas until loom, proof and sheet are painted; a press until the first sound;
// opening the page, cold and warm. Milliseconds; the engine's own part of a keystroke is what its thread took.
import { copyFileSync, readFileSync, readdirSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { folder, launch, open, root, startStudio } from "../tests/web/browser.mjs";

const KEYSTROKES = 120;
const RULES = ["1 2 3", "3 2 1 2", "1 3 2 3 + 2 1", "2 1 3 1"];

const sorted = (list) => [...list].sort((a, b) => a - b);
const at = (list, part) => sorted(list)[Math.min(list.length - 1, Math.floor(part * list.length))];
const row = (name, list) => console.log(`${name.padEnd(44)} median ${at(list, 0.5).toFixed(1).padStart(7)}   95% ${at(list, 0.95).toFixed(1).padStart(7)}`);

const lessons = folder("bench");
const lesson = readFileSync(join(root, "demos/climbing-sixes.toml"), "utf8").split("[[idea]]")[0] + RULES.concat("1 2 3 + 3 2 1").map((rule) => `[[idea]]\ncell = "${rule}"\n`).join("\n");
writeFileSync(join(lessons.path, "five.toml"), lesson);
copyFileSync(join(root, "demos/climbing-sixes.toml"), join(lessons.path, "sixes.toml"));
const studio = await startStudio(lessons.path);
const browser = await launch();

const openings = { cold: [], warm: [] };
for (let i = 0; i < 8; ++i) {
  const { context, page } = await open(browser, "about:blank");
  for (const kind of ["cold", "warm", "warm"]) {
    await page.goto("about:blank");
    await page.goto(`${studio.address}#five`);
    await page.locator("#idea-1 .loom svg").waitFor();
    openings[kind].push(await page.evaluate(() => performance.now()));
  }
  await context.close();
}
row("page opened to first loom, cold", openings.cold);
row("page opened to first loom, warm", openings.warm);

const { context, page } = await open(browser, `${studio.address}#five`);
await page.locator("#idea-1 .sheet svg").waitFor();
await page.evaluate(() => {
  globalThis.times = [];
  const input = document.querySelector("#idea-1 input.rule");
  let began = 0;
  input.addEventListener("input", () => (began = performance.now()), { capture: true });
  // Painted: the first frame after the last of loom and sheet was replaced.
  const seen = () => {
    if (began === 0) return;
    const start = began;
    requestAnimationFrame(() => {
      const channel = new MessageChannel();
      channel.port1.onmessage = () => start === began && (globalThis.times.push(performance.now() - start), (began = 0));
      channel.port2.postMessage(0);
    });
  };
  for (const kind of ["loom", "sheet"]) new MutationObserver(seen).observe(document.querySelector(`#idea-1 .${kind} .drawing-rows`), { childList: true, subtree: true });
});
const work = [];
await page.locator("#idea-1 input.rule").focus();
await page.keyboard.press("End");
for (let i = 0; i < KEYSTROKES; ++i) {
  const before = await page.evaluate(() => globalThis.fretloomWork());
  await page.keyboard.press(i % 2 === 0 ? String(1 + (i % 3)) : "Backspace");
  await page.waitForTimeout(60);
  work.push((await page.evaluate(() => globalThis.fretloomWork())) - before);
}
row("keystroke to painted loom, proof and sheet", await page.evaluate(() => globalThis.times));
row("  of it the engine", work);

const sounds = [];
for (let i = 0; i < 40; ++i) {
  await page.evaluate(() => document.activeElement.blur());
  const pressed = await page.evaluate(() => performance.now());
  await page.keyboard.press("Space");
  await page.waitForFunction(() => globalThis.fretloomSound()?.noteAt(globalThis.fretloomSound().heardAt(performance.now())) !== undefined);
  sounds.push((await page.evaluate(() => performance.now())) - pressed);
  await page.keyboard.press("Space");
  await page.waitForTimeout(100);
}
row("press to first sound, the page's first", sounds.slice(0, 1));
row("press to first sound, all", sounds);
await context.close();
await browser.close();
await studio.close();
lessons.remove();

for (const name of ["studio", "static"]) {
  const place = join(root, "build/web", name);
  for (const file of readdirSync(place)) if (statSync(join(place, file)).isFile()) console.log(`${`${name}/${file}`.padEnd(44)} ${statSync(join(place, file)).size} bytes`);
}
