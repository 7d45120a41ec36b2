// The band of the student's page in Chromium: what sounds at a hit's frame is the kit's sample.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync, readdirSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { fileURLToPath } from "node:url";
import { folder, fretloom, launch, open, root } from "../browser.mjs";

const place = folder("kit");
const packed = `file://${join(place.path, "climbing-sixes/climbing-sixes-practice.html")}`;
const bare = packed.replace("-practice", "-bare");
let browser;
let opened;

before(async () => {
  execFileSync(fretloom, ["pack", ...["climbing-sixes", "jig-in-six-eight"].map((name) => join(root, `demos/${name}.toml`)), "-o", place.path, "--only", "practice"], { stdio: "ignore" });
  const page = readFileSync(fileURLToPath(packed), "utf8");
  writeFileSync(fileURLToPath(bare), page.replace(/(<script type="application\/json" id="kit">)[^<]*(<\/script>)/, "$1null$2"));
  browser = await launch();
});
after(async () => {
  await browser?.close();
  place.remove();
});

/** `change` is done before the page's own script runs. */
async function show(address = packed, change = undefined) {
  await opened?.context.close();
  opened = await open(browser, "about:blank", { width: 390, height: 844 });
  if (change !== undefined) await opened.page.addInitScript(change);
  await opened.page.goto(address);
  await opened.page.waitForFunction(() => globalThis.practice !== undefined);
  return opened;
}

/** Plays a loop with the vamp alone, and holds its first turn against the kit as the browser decodes it. */
const heard = (page, bpm) =>
  page.evaluate(async (tempo) => {
    const { player, lesson } = globalThis.practice;
    player.levels = { lick: 0, click: 0, vamp: 1, countIn: 0 };
    await new Promise((done, failed) => {
      player.onEnd = (fault) => failed(new Error(fault));
      const look = setInterval(() => {
        if (player.decks.at(-1)?.rendering.tracks.vamp === undefined) return;
        clearInterval(look);
        done();
      }, 20);
      void player.play({ lesson, idea: 1, feel: 1, bpm: tempo, loop: true });
    });
    const { vamp, lick } = player.decks.at(-1).rendering.tracks;
    const band = await lesson.call({ call: "band", idea: 1, feel: 1, bpm: tempo });
    player.stop();
    const left = vamp.getChannelData(0);
    const right = vamp.getChannelData(1);
    const steep = (at, samples) => at(samples) - at(samples - 1);
    const mixed = (i) => (i < 0 || i >= left.length ? 0 : left[i] + right[i]);
    const file = JSON.parse(document.getElementById("kit").textContent);
    const decoded = file && (await new AudioContext({ sampleRate: 48000 }).decodeAudioData(Uint8Array.from(atob(file.audio), (c) => c.charCodeAt(0)).buffer));
    const hits = [];
    for (const { frame, sound } of file === null ? [] : band.result.hits) {
      const { role, key, velocity } = band.result.sounds[sound];
      const kit = file.sounds.find((one) => one.role === role && one.key === key && one.velocity === velocity);
      // Of sounds that begin alone, with room before them.
      const others = band.result.hits.filter((one) => one.sound !== sound && Math.abs(one.frame - frame) < 4000).length;
      if (kit === undefined || others > 0 || frame < 8000 || frame > left.length - 8000) continue;
      const samples = decoded.getChannelData(0).subarray(kit.first, kit.first + Math.min(kit.frames, 4000));
      const sample = (i) => samples[i] ?? 0;
      const begin = Math.round(frame - kit.attack);
      const likeness = (by) => {
        let both = 0, one = 0, other = 0;
        for (let i = 1; i < samples.length; ++i) {
          const a = steep(mixed, begin + by + i);
          const b = steep(sample, i);
          both += a * b, one += a * a, other += b * b;
        }
        return both / Math.sqrt(one * other || 1);
      };
      let best = 0;
      for (let by = -96; by <= 96; ++by) if (likeness(by) > likeness(best)) best = by;
      hits.push({ name: `${role} ${key} ${velocity}`, best, like: likeness(best) });
    }
    let peak = 0;
    for (let i = 0; i < left.length; ++i) peak = Math.max(peak, Math.abs(left[i]), Math.abs(right[i]));
    return { hits, peak, equal: vamp.length === lick.length, kit: player.kit !== undefined, strings: band.result.strings.map(({ role }) => role), step: Math.abs(left[0] - left[left.length - 1]) };
  }, bpm);

test("what sounds at a hit's frame is the kit's sample", async () => {
  const { page, faults, requests } = await show();
  await page.waitForFunction(() => globalThis.practice.player.kit !== undefined);
  const quiet = await page.evaluate(() => globalThis.practice.player.levels.vamp);
  assert.ok(quiet <= 0.3, `starts at ${quiet}`);
  for (const bpm of [60, 120, 97.5]) {
    const { hits, peak, equal, strings } = await heard(page, bpm);
    assert.ok(equal);
    assert.ok(Math.abs(peak - 1) < 1e-3, `${peak}`);
    assert.deepEqual(strings, ["bass", "guitar"]);
    assert.ok(hits.length >= 4, `${hits.length} hits alone at ${bpm}`);
    console.log(`${bpm}: ${hits.map(({ name, best, like }) => `${name} ${best} ${like.toFixed(2)}`).join(", ")}`);
    for (const { name, best, like } of hits) assert.ok(best === 0 && like > 0.5, `${name} at ${bpm}: ${best} frames off, ${like}`);
  }
  assert.deepEqual(faults, []);
  assert.ok(requests.every((address) => /^(file|blob|about):/.test(address)), requests.join("\n"));
});

test("a drum that was struck otherwise is found, and a key is moved from the nearest", async () => {
  const { page, faults } = await show(packed.replaceAll("climbing-sixes", "jig-in-six-eight"));
  await page.waitForFunction(() => globalThis.practice.player.kit !== undefined);
  const found = await page.evaluate(() => {
    const { kit } = globalThis.practice.player;
    const { sounds } = JSON.parse(document.getElementById("kit").textContent);
    const drum = sounds.find(({ role }) => role === "drums");
    const keys = sounds.filter(({ role }) => role === "keys").map(({ key, velocity }) => [-1, 0, 1].map((by) => kit.find({ role: "keys", key: key + by, velocity }).speed));
    const at = (velocity) => kit.find({ role: "drums", key: drum.key, velocity });
    return { keys, louder: at(2 * drum.velocity).level / at(drum.velocity).level, none: kit.find({ role: "drums", key: 99, velocity: 90 }) === undefined };
  });
  assert.ok(found.none);
  assert.ok(found.keys.length >= 2);
  for (const [down, same, up] of found.keys) {
    assert.equal(same, 1);
    assert.ok(Math.abs(down - 2 ** (-1 / 12)) < 1e-9 && Math.abs(up - 2 ** (1 / 12)) < 1e-9, `${down} ${up}`);
  }
  assert.ok(found.louder >= 1 && found.louder < 4.01, `${found.louder}`);
  const { peak } = await heard(page, 84);
  assert.ok(Math.abs(peak - 1) < 1e-3, `${peak}`);
  assert.deepEqual(faults, []);
});

test("every demo's band plays with its kit, slow and fast", async () => {
  const demos = readdirSync(join(root, "demos")).filter((name) => name.endsWith(".toml")).map((name) => name.slice(0, -5));
  const into = join(place.path, "demos");
  execFileSync(fretloom, ["pack", ...demos.map((name) => join(root, `demos/${name}.toml`)), "-o", into, "--only", "practice"], { stdio: "ignore" });
  for (const name of demos) {
    const file = join(into, name, `${name}-practice.html`);
    const bytes = statSync(file).size;
    console.log(`${name}: ${bytes} bytes`);
    assert.ok(bytes <= 900_000, `${name}: ${bytes} bytes`);
    const { page, faults } = await show(`file://${file}`);
    await page.waitForFunction(() => globalThis.practice.player.kit !== undefined);
    for (const part of [0.2, 1, 1.2]) {
      const said = await page.evaluate(async (of) => {
        const { player, lesson } = globalThis.practice;
        const ended = new Promise((done) => (player.onEnd = (fault) => done(fault)));
        void player.play({ lesson, idea: 1, feel: 1, bpm: Math.round(of * Number(document.querySelector(".rung:last-child").textContent)), loop: true });
        const plays = (async () => {
          while (player.decks.at(-1)?.rendering.tracks.vamp === undefined) await new Promise((done) => setTimeout(done, 20));
          return "plays";
        })();
        const said = await Promise.race([ended, plays, new Promise((done) => setTimeout(() => done("no vamp came"), 20000))]);
        player.stop();
        return said;
      }, part);
      assert.equal(said, "plays", `${name} at ${part} of the goal`);
    }
    assert.deepEqual(faults, [], name);
  }
});

for (const [what, address, change] of [
  ["there is no kit", bare, undefined],
  ["the browser cannot decode it", packed, () => (OfflineAudioContext.prototype.decodeAudioData = () => Promise.reject(new Error("no such codec")))],
]) {
  test(`plain tones play where ${what}`, async () => {
    const { page, faults } = await show(address, change);
    const { peak, equal, kit, hits } = await heard(page, 120);
    assert.equal(kit, false);
    assert.ok(equal && Math.abs(peak - 1) < 1e-3, `${peak}`);
    assert.ok(hits.every(({ like }) => like < 0.5), "the kit's sounds");
    assert.deepEqual(faults, []);
  });
}
