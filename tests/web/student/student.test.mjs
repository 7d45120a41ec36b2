// The student's page in Chromium: from a double-click and from a static server, at 390 pixels with touch.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { copyFileSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { after, before, test } from "node:test";
import { axe, contrasts, folder, fretloom, launch, open, openKept, root, serveFolder, startStudio } from "../browser.mjs";

const built = join(root, "build/web/student");
const demo = (name) => readFileSync(join(root, `demos/${name}.toml`), "utf8");
const demos = readdirSync(join(root, "demos")).filter((name) => name.endsWith(".toml")).sort();
const place = folder("student");
const phone = { width: 390, height: 844, touch: true };
let browser;
const opened = [];

before(async () => {
  browser = await launch();
});
after(async () => {
  for (const one of opened) await one.context.close();
  await browser?.close();
  place.remove();
});

/** The page with a lesson in it, as a packer puts it there. */
function pageOf(lesson, name = "practice") {
  const json = JSON.stringify(lesson).replace(/[<>&]/g, (c) => `\\u00${c.charCodeAt(0).toString(16)}`);
  const html = readFileSync(join(built, "practice.html"), "utf8").replace('"@LESSON@"', () => json);
  const file = join(place.path, `${name}.html`);
  writeFileSync(file, html);
  return `file://${file}`;
}

async function show(lesson, options = {}) {
  const address = options.address ?? pageOf(lesson);
  for (const one of opened.splice(0)) await one.context.close();
  const window = await open(browser, address, { ...phone, ...options });
  opened.push(window);
  await window.page.waitForFunction(() => globalThis.practice !== undefined && document.querySelector(".sheet .fret") !== null);
  return window;
}
const note = (page) => page.evaluate(() => document.querySelector(".page").dataset.note);
const sounds = (page) => page.waitForFunction(() => document.querySelector(".page").dataset.note !== "" && document.querySelector(".page").dataset.note !== undefined);
const pause = (ms) => new Promise((done) => setTimeout(done, ms));
const openAll = (page) => page.evaluate(() => document.querySelectorAll("details").forEach((one) => (one.open = true)));

/** The middle of a note of the loom, in the window. */
const middle = (page, index) =>
  page.evaluate((i) => {
    const { box } = globalThis.practice.loom.drawing.notes[i];
    document.querySelector(".rule-line").scrollIntoView();
    const host = document.querySelector(".loom").getBoundingClientRect();
    return { x: host.left + box.x + box.width / 2, y: host.top + box.y + box.height / 2 };
  }, index);

test("from a double-click it opens, sounds, and asks for nothing elsewhere", async () => {
  const { page, faults, requests } = await show(demo("climbing-sixes"));
  assert.equal(await page.title(), "Six that folds back · Climbing sixes");
  const paint = await page.evaluate(() => performance.getEntriesByName("first-contentful-paint")[0]?.startTime);
  await page.tap(".play");
  await sounds(page);
  assert.equal(await page.textContent(".play"), "Stop");
  await page.tap(".play");
  await pause(100);
  assert.equal(await note(page), "");
  assert.deepEqual(faults, []);
  assert.ok(requests.every((address) => address.startsWith("file:") || address.startsWith("blob:")), requests.join("\n"));
  const bytes = statSync(join(built, "practice.html")).size;
  console.log(`first paint ${paint.toFixed(0)} ms, ${bytes} bytes`);
  assert.ok(bytes <= 900_000);
});

test("four times slower it paints within a second and sounds within 300 ms of the press", async () => {
  const { page, context } = await show(demo("climbing-sixes"));
  const slow = await context.newCDPSession(page);
  await slow.send("Emulation.setCPUThrottlingRate", { rate: 4 });
  // The quickest says what the page needs; the others wait for the machine.
  const quickest = async (limit, measure) => {
    const times = [];
    while (times.length < 10 && !(Math.min(...times) < limit)) times.push(await measure());
    return times;
  };
  const paints = await quickest(1000, async () => {
    await page.reload();
    await page.waitForFunction(() => globalThis.practice !== undefined);
    return page.evaluate(() => performance.getEntriesByName("first-contentful-paint")[0].startTime);
  });
  const presses = await quickest(300, async () => {
    await pause(300);
    return page.evaluate(
      () =>
        new Promise((done) => {
          const { player } = globalThis.practice;
          const began = performance.now();
          document.querySelector(".play").click();
          const look = () => {
            if (player.decks.length === 0 && !player.counting) return setTimeout(look, 1);
            globalThis.practice.stop();
            done(performance.now() - began + 25);
          };
          look();
        }),
    );
  });
  const text = (times) => times.map((time) => time.toFixed(0)).join(" ");
  console.log(`slowed four times: first paint ${text(paints)} ms, press to first sound ${text(presses)} ms`);
  assert.ok(paints.at(-1) < 1000, text(paints));
  assert.ok(presses.at(-1) < 300, text(presses));
});

test("from a static server two lessons of one folder can be installed and work offline after one visit", async () => {
  const site = join(place.path, "site");
  mkdirSync(site, { recursive: true });
  const names = ["climbing-sixes", "odd-ones-out"];
  const lessons = names.map((name) => join(root, `demos/${name}.toml`));
  execFileSync(fretloom, ["pack", ...lessons, "-o", join(place.path, "packs"), "--only", "practice"], { stdio: "ignore" });
  for (const name of names)
    for (const file of readdirSync(join(place.path, "packs", name))) copyFileSync(join(place.path, "packs", name, file), join(site, file));
  const server = await serveFolder(site);
  const address = (name) => `${server.address}${name}-practice.html`;
  const ready = (page) => page.waitForFunction(() => globalThis.practice !== undefined);
  try {
    for (const one of opened.splice(0)) await one.context.close();
    // A window that keeps what it is given: another one could not install anything.
    const window = await openKept(join(place.path, "profile"), address(names[0]), phone);
    opened.push(window);
    const { page, context, faults, requests } = window;
    await ready(page);
    const visit = async (name) => {
      await page.goto(address(name));
      await ready(page);
      const scope = await page.evaluate(async () => (await navigator.serviceWorker.ready).scope);
      assert.equal(scope, address(name));
    };
    for (const name of names) await visit(name);
    const devtools = await context.newCDPSession(page);
    const { url, errors, data, manifest } = await devtools.send("Page.getAppManifest");
    assert.equal(url, `${server.address}odd-ones-out-practice.webmanifest`);
    assert.deepEqual(errors, []);
    assert.equal(JSON.parse(data).name, "Odd ones out");
    // The browser's own criterion; the icon, a drawing for any size, is one it takes.
    const { installabilityErrors } = await devtools.send("Page.getInstallabilityErrors");
    assert.deepEqual(installabilityErrors, []);
    const [icon] = JSON.parse(data).icons;
    assert.deepEqual([icon.sizes, icon.type], ["any", "image/svg+xml"]);
    const drawn = await page.evaluate(async (src) => {
      const image = new Image();
      image.src = src;
      await image.decode();
      return image.naturalWidth;
    }, icon.src);
    assert.ok(drawn > 0, "the icon can be drawn");
    await server.close();
    for (const name of names) {
      await page.goto(address(name));
      await ready(page);
      assert.match(await page.title(), name === "odd-ones-out" ? /Odd ones out$/ : /Climbing sixes$/);
    }
    await page.tap(".play");
    await sounds(page);
    const kept = await page.evaluate(() => caches.keys());
    assert.equal(kept.length, names.length, kept.join("\n"));
    assert.ok(requests.every((one) => one.startsWith(server.address) || one.startsWith("blob:") || one.startsWith("data:")), requests.join("\n"));
    assert.deepEqual(faults, []);
  } finally {
    await server.close().catch(() => undefined);
  }
});

test("the studio shows it with the lesson as it is now, apart from the studio", async () => {
  const lessons = join(place.path, "lessons");
  mkdirSync(lessons, { recursive: true });
  writeFileSync(join(lessons, "sixes.toml"), demo("climbing-sixes"));
  const studio = await startStudio(lessons);
  try {
    const { page, context, requests, faults } = await open(browser, `${studio.address}#sixes`);
    const [shown] = await Promise.all([context.waitForEvent("page"), page.getByRole("button", { name: "What students see" }).click()]);
    await shown.waitForFunction(() => globalThis.practice !== undefined);
    assert.equal(await shown.title(), "Six that folds back · Climbing sixes");
    await shown.click(".play");
    await sounds(shown);
    const reached = await shown.evaluate(async (lesson) => {
      const read = await fetch(lesson).then(() => "read", () => "refused");
      const stored = (() => {
        try {
          return localStorage.length;
        } catch {
          return "refused";
        }
      })();
      return { read, stored, origin: self.origin, opener: window.opener };
    }, `${studio.address}api/lesson?name=sixes`);
    assert.deepEqual(reached, { read: "refused", stored: "refused", origin: "null", opener: null });
    assert.deepEqual(faults, []);
    assert.ok(requests.every((one) => one.startsWith(studio.address) || /^(blob|data):/.test(one)), requests.join("\n"));
    assert.ok(requests.every((one) => !/webmanifest|practice-worker/.test(one)), requests.join("\n"));
    await context.close();
  } finally {
    await studio.close();
  }
});

test("from a disk it looks for nothing beside it", async () => {
  const { page, faults, requests } = await show(demo("climbing-sixes"));
  assert.equal(await page.locator("link[rel=manifest]").count(), 0);
  assert.ok(requests.every((one) => !/webmanifest|worker\.js/.test(one)), requests.join("\n"));
  assert.deepEqual(faults, []);
});

test("the ring stands on the note that sounds, in loom and sheet", async () => {
  const { page } = await show(demo("climbing-sixes"));
  await page.tap(".parts .word >> nth=2");
  await page.tap(".play");
  await sounds(page);
  const seen = await page.evaluate(
    () =>
      new Promise((done) => {
        const { player, loom } = globalThis.practice;
        const list = [];
        const ends = performance.now() + 4000;
        const look = () => {
          const shown = document.querySelector(".page").dataset.note;
          const heard = player.noteAt(player.heardAt(performance.now()));
          const before = player.noteAt(player.heardAt(performance.now() - 20));
          const after = player.noteAt(player.heardAt(performance.now() + 20));
          const box = shown === "" ? undefined : loom.drawing.notes.find(({ note }) => String(note) === shown).box;
          const { m41, m42 } = new DOMMatrix(document.querySelector(".loom .drawing-mark").style.transform);
          const on = box === undefined || Math.hypot(m41 - box.x - box.width / 2, m42 - box.y - box.height / 2) < 1;
          list.push({ right: [heard, before, after].some((one) => String(one ?? "") === shown), on });
          if (performance.now() < ends) requestAnimationFrame(look);
          else done(list);
        };
        requestAnimationFrame(look);
      }),
  );
  const wrong = seen.filter(({ right }) => !right).length;
  assert.ok(seen.length > 40);
  assert.ok(wrong <= seen.length / 50, `${wrong} of ${seen.length} frames showed a note that is 20 ms away`);
  assert.ok(seen.every(({ on }) => on));
});

test("two presses loop what lies between; the same note twice plays from there", async () => {
  const { page } = await show(demo("climbing-sixes"));
  await page.tap(".parts .word >> nth=2");
  for (const index of [2, 5]) {
    const { x, y } = await middle(page, index);
    await page.touchscreen.tap(x, y);
  }
  await sounds(page);
  assert.match(await page.textContent(".loop-words"), /^Note 3 to note 6/);
  await page.waitForFunction(() => globalThis.practice.player.decks.at(-1)?.rendering.loop === true);
  const notes = await page.evaluate(() => globalThis.practice.player.decks.at(-1).rendering.notes.map(({ note }) => note));
  assert.deepEqual(notes, [2, 3, 4, 5]);
  await page.tap("text=play all of it");
  await page.evaluate(() => globalThis.practice.stop());
  for (let i = 0; i < 2; ++i) {
    const { x, y } = await middle(page, 7);
    await page.touchscreen.tap(x, y);
  }
  await sounds(page);
  assert.ok(Number(await note(page)) >= 7);
});

test("any tempo from 20% to 120% of the goal, typed, dragged or by the rungs", async () => {
  const { page } = await show(demo("climbing-sixes"));
  const bpm = () => page.inputValue("#tempo");
  for (const [typed, kept] of [["97.5", "97.5"], ["10", "24"], ["500", "144"]]) {
    await page.fill("#tempo", typed);
    await page.press("#tempo", "Enter");
    await page.locator("#tempo").blur();
    assert.equal(await bpm(), kept);
  }
  await page.locator(".slide").fill("73");
  assert.equal(await bpm(), "73");
  await page.tap(".parts .word >> nth=2");
  await page.tap(".rung >> nth=2");
  await sounds(page);
  assert.equal(await bpm(), "80");
  assert.equal(await page.getAttribute(".rung >> nth=2", "aria-pressed"), "true");
  await page.locator(".slide").fill("140");
  await page.waitForFunction(() => globalThis.practice.player.decks.at(-1)?.rendering.bpm === 140);
  await page.evaluate(() => globalThis.practice.tempo(80, true));
  await page.evaluate(() => globalThis.practice.tempo(80, true));
  assert.equal(await page.textContent(".play"), "Play");
});

test("three ways to see", async () => {
  const { page } = await show(demo("climbing-sixes"));
  const visible = (selector) => page.evaluate((s) => [...document.querySelectorAll(s)].some((one) => one.checkVisibility({ visibilityProperty: true })), selector);
  assert.ok((await visible(".loom .fret")) && (await visible(".sheet svg")));
  await page.tap("text=Hide the notes");
  assert.equal(await visible(".loom .fret"), false);
  assert.equal(await visible(".sheet svg"), false);
  assert.ok(await visible(".loom path"));
  await page.tap("text=I play the next one");
  await page.tap(".parts .word >> nth=2");
  assert.ok((await page.locator(".loom .blank").count()) >= 2);
  await page.tap(".play");
  await page.waitForFunction(() => globalThis.practice.player.decks.at(-1)?.rendering.loop === true);
  const peaks = await page.evaluate(() => {
    const { notes, tracks } = globalThis.practice.player.decks.at(-1).rendering;
    const samples = tracks.lick.getChannelData(0);
    return notes.map(({ begin, end }) => samples.subarray(begin, end).reduce((most, x) => Math.max(most, Math.abs(x)), 0));
  });
  // Six notes each: the first sounds, the second is the student's.
  assert.ok(peaks.slice(0, 6).every((peak) => peak > 0) && peaks.slice(6, 12).every((peak) => peak === 0), peaks.join(" "));
  await page.tap("text=Show everything");
  assert.equal(await page.locator(".blank").count(), 0);
});

test("by the keyboard alone", async () => {
  const { page } = await show(demo("climbing-sixes"));
  const focused = () => page.evaluate(() => document.activeElement.getAttribute("aria-label") ?? document.activeElement.textContent);
  await page.keyboard.press("Space");
  await sounds(page);
  await page.keyboard.press("Space");
  assert.equal(await page.textContent(".play"), "Play");
  const seen = [];
  for (let i = 0; i < 40; ++i) {
    await page.keyboard.press("Tab");
    seen.push(await focused());
    if (seen.at(-1) === seen[0] && i > 0) break;
  }
  for (const name of ["Play", "Hide the notes", "Your guitar", "60 beats a minute", "click", "That was clean"]) assert.ok(seen.some((one) => one?.includes(name)), `${name} in ${seen.join(" | ")}`);
  await page.locator(".loom [role=option]").first().focus();
  await page.keyboard.press("ArrowRight");
  await page.keyboard.press("ArrowRight");
  assert.match(await focused(), /^bar 1 beat 1\+1\/2/);
  await page.keyboard.press("Enter");
  await page.keyboard.press("End");
  await page.keyboard.press("Enter");
  await page.waitForFunction(() => globalThis.practice.player.playing);
  assert.match(await page.textContent(".loop-words"), /^Note 3 to note 33/);
});

/** axe-core, and every text against its ground. */
async function check(page) {
  assert.deepEqual(await axe(page), []);
  const { measured, low } = await contrasts(page);
  assert.deepEqual(low, []);
  assert.ok(measured > 20, `only ${measured} texts were measured`);
}

test("nothing for axe to find, in any state", async () => {
  for (const options of [{}, { dark: true }, { still: true }]) {
    const { page, faults } = await show(demo("odd-ones-out"), options);
    await check(page);
    await openAll(page);
    for (const name of ["tuning", "key", "from"]) {
      await page.locator(`[data-word=${name}]`).click();
      await page.waitForFunction((n) => document.querySelector(`[data-word=${n}]`).getAttribute("aria-expanded") === "true", name);
      await pause(150);
      await check(page);
    }
    await page.tap("text=I play the next one");
    await page.tap(".play");
    await pause(300);
    await check(page);
    assert.deepEqual(faults, []);
  }
});

test("what Tab reaches is seen, in order, not hidden behind the foot", async () => {
  for (const size of [phone, { ...phone, width: 844, height: 390 }]) await tabThrough(size);
});

async function tabThrough(size) {
  const { page } = await show(demo("climbing-sixes"), size);
  await openAll(page);
  await page.evaluate(() => (scrollTo(0, 0), document.activeElement.blur()));
  const seen = [];
  for (let i = 0; i < 300; ++i) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => {
      const element = document.activeElement;
      if (element === document.body) return null;
      const all = [...document.querySelectorAll("a[href], button, input, select, summary, textarea, [tabindex]")];
      const box = element.getBoundingClientRect();
      const foot = document.querySelector(".foot").getBoundingClientRect().top;
      // WCAG 2.2, success criterion 2.4.12: all of what is focused can be seen.
      const hidden = element.closest(".foot, .drawing-names") === null && (box.bottom > foot || box.top < 0);
      return { order: all.indexOf(element), name: element.ariaLabel ?? element.textContent.slice(0, 40), hidden };
    });
    if (at === null || seen.some(({ order }) => order === at.order)) break;
    seen.push(at);
  }
  assert.ok(seen.length > 20, `${seen.length} stops`);
  assert.deepEqual(seen.filter(({ hidden }) => hidden), []);
}

test("with reduced motion the ring steps", async () => {
  for (const still of [true, false]) {
    const { page } = await show(demo("climbing-sixes"), { still });
    const moves = await page.evaluate(() => getComputedStyle(document.querySelector(".loom .drawing-mark")).transitionDuration);
    assert.equal(moves === "0s", still, moves);
  }
});

test("hostile titles stay text", async () => {
  const bad = '</script><script>globalThis.bad = 1</script><img src=x onerror="globalThis.bad=1"><!--';
  const text = demo("climbing-sixes")
    .replace('"Climbing sixes"', JSON.stringify(bad))
    .replace('"Six that folds back"', JSON.stringify(bad))
    .replace(/note = "Keep[^"]*"/, `note = ${JSON.stringify(bad)}`);
  const { page, faults, requests } = await show(text);
  assert.equal(await page.evaluate(() => globalThis.bad), undefined);
  assert.equal(await page.locator("img").count(), 0);
  assert.equal(await page.textContent("h1"), bad);
  assert.deepEqual(faults, []);
  assert.ok(requests.every((address) => !address.endsWith("/x")));
});

test("the policy lets nothing else run or load", async () => {
  const { page } = await show(demo("climbing-sixes"));
  const refused = await page.evaluate(async () => {
    const violations = [];
    document.addEventListener("securitypolicyviolation", ({ effectiveDirective }) => violations.push(effectiveDirective));
    const script = document.createElement("script");
    script.textContent = "globalThis.bad = 1";
    document.body.append(script);
    const image = new Image();
    image.src = "https://example.invalid/x.png";
    document.body.append(image);
    const style = document.createElement("div");
    style.innerHTML = '<p style="color: red">x</p>';
    document.body.append(style);
    await fetch("https://example.invalid/").catch(() => undefined);
    await new Promise((done) => setTimeout(done, 200));
    return { violations, bad: globalThis.bad };
  });
  assert.equal(refused.bad, undefined);
  for (const directive of ["script-src-elem", "img-src", "style-src-attr", "connect-src"]) assert.ok(refused.violations.includes(directive), refused.violations.join(" "));
});

/** Whole numbers below a bound, the same each time (xorshift). */
function random(seed) {
  let state = seed;
  return (below) => {
    state ^= state << 13;
    state ^= state >>> 17;
    state ^= state << 5;
    return (state >>> 0) % below;
  };
}

test("notes on the page are the command line's, for every demo and 200 random changes", async () => {
  const next = random(20261126);
  const pick = (list) => list[next(list.length)];
  const tonics = ["C", "C#", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"];
  const modes = ["dorian", "ionian", "aeolian", "mixolydian", "phrygian", "lydian", "minor pentatonic", "harmonic minor"];
  const tunings = ['"standard"', '"drop D"', '["A1","E2","A2","D3","G3","B3","E4"]', '["D2","G2","C3","F3","A3","D4"]'];
  const file = join(place.path, "changed.toml");
  const notesOf = (text) => {
    writeFileSync(file, text);
    try {
      return execFileSync(fretloom, ["notes", file, "--json"], { encoding: "utf8", stdio: ["ignore", "pipe", "ignore"], maxBuffer: 1 << 26 });
    } catch ({ stdout }) {
      return stdout;
    }
  };
  let applied = 0;
  let refused = 0;
  for (const [i, name] of demos.entries()) {
    const { page } = await show(readFileSync(join(root, "demos", name), "utf8"));
    const onPage = () =>
      page.evaluate(async () => {
        const [text, notes] = await globalThis.practice.lesson.calls({ call: "text" }, { call: "notes" });
        return { text: text.result.text, notes: notes.result };
      });
    const compare = async (what) => {
      const { text, notes } = await onPage();
      assert.deepEqual(notes, JSON.parse(notesOf(text)), what);
    };
    await compare(name);
    const count = Math.floor(200 / demos.length) + (i < 200 % demos.length ? 1 : 0);
    for (let k = 0; k < count; ++k) {
      const own = { hand: "right", size: 16 };
      if (next(3) > 0) own.key = `${pick(tonics)} ${pick(modes)}`;
      if (next(3) === 0) own.tuning = pick(tunings);
      if (next(3) > 0) own.from = next(15);
      const before = await onPage();
      const fault = await page.evaluate((words) => globalThis.practice.change(words), own);
      fault === undefined ? ++applied : ++refused;
      if (fault !== undefined) assert.equal((await onPage()).text, before.text, "what is refused changes nothing");
      await compare(`${name}, ${JSON.stringify(own)}`);
    }
  }
  console.log(`${applied} changes applied, ${refused} refused with a reason`);
  assert.ok(applied > 60 && refused > 3, `${applied} ${refused}`);
});

test("a key that cannot be reached says so and offers the nearest place", async () => {
  const { page } = await show(demo("climbing-sixes"));
  await openAll(page);
  await page.locator("[data-word=from]").click();
  await page.locator(".choices input").fill("fret 23");
  await page.locator(".choices input").press("Enter");
  await page.waitForFunction(() => document.querySelector(".own [role=status]").textContent.startsWith("That cannot be reached"));
  assert.match(await page.textContent(".own [role=status]"), /the neck ends at fret 24/);
  const offered = await page.textContent(".own [role=status] .word");
  await page.locator(".own [role=status] .word").click();
  await page.waitForFunction((says) => says.endsWith(document.querySelector("[data-word=from]").textContent), offered);
  await page.locator("[data-word=key]").click();
  await page.locator(".choices input").fill("d# dorian");
  await page.locator(".choices input").press("Enter");
  // So far up the neck it cannot be reached either, and the nearest place is offered.
  await page.waitForFunction(() => document.querySelector(".own [role=status]").textContent.startsWith("That cannot be reached"));
  await page.locator(".own [role=status] .word").click();
  await page.waitForFunction(() => /^D. dorian/.test(document.querySelector("[data-word=key]").textContent));
  const notes = await page.evaluate(async () => (await globalThis.practice.lesson.call({ call: "notes" })).result);
  assert.equal(notes.key, "D# dorian");
  const vamp = await page.evaluate(async () => (await globalThis.practice.lesson.call({ call: "vamp", idea: 1 })).result.chords.map(({ name }) => name));
  assert.deepEqual(vamp, ["D#m7", "G#7"], "the vamp goes with the key");
});

test("what was reached is kept, goes out as a file and comes in again; a damaged one changes nothing", async () => {
  const { page, context } = await show(demo("climbing-sixes"));
  await page.tap(".rung >> nth=3");
  await page.tap("text=That was clean");
  await openAll(page);
  assert.match(await page.textContent(".progress"), /Six that folds back, 4 notes a beat: clean at 90/);
  const [download] = await Promise.all([page.waitForEvent("download"), page.tap("text=Save it as a file")]);
  const saved = join(place.path, "practice.json");
  await download.saveAs(saved);
  await page.reload();
  await page.waitForFunction(() => globalThis.practice !== undefined);
  await openAll(page);
  assert.match(await page.textContent(".progress"), /clean at 90/);
  const kept = () => page.evaluate(() => JSON.stringify(localStorage));
  const before = await kept();
  const whole = readFileSync(saved, "utf8");
  const damaged = [whole.slice(0, -20), "", "[]", "null", whole.replace("90", '"90"'), whole.replace("90", "1e999"), whole.replace('"reached"', '"reachd"'), whole.replace(/"day": "[^"]*"/, '"day": "yesterday"'), "x".repeat(3_000_000)];
  for (const [i, text] of damaged.entries()) {
    await page.setInputFiles("#progress-file", { name: "practice.json", mimeType: "application/json", buffer: Buffer.from(text) });
    await page.waitForFunction(() => document.querySelector(".progress [role=status]").textContent.includes("Nothing here has changed"));
    assert.equal(await kept(), before, `damage ${i}`);
    await page.evaluate(() => (document.querySelector(".progress [role=status]").textContent = ""));
  }
  await page.setInputFiles("#progress-file", { name: "practice.json", mimeType: "application/json", buffer: Buffer.from(whole.replace('"lesson": "', '"lesson": "another ')) });
  await page.waitForFunction(() => document.querySelector(".progress [role=status]").textContent.includes("another lesson"));
  assert.equal(await kept(), before);

  const other = await show(demo("climbing-sixes"));
  await openAll(other.page);
  assert.match(await other.page.textContent(".progress"), /not marked yet/);
  await other.page.setInputFiles("#progress-file", saved);
  await other.page.waitForFunction(() => document.querySelector(".progress").textContent.includes("clean at 90"));
  void context;
});

test("a damaged record on the device lies aside, and says so", async () => {
  const { page } = await show(demo("climbing-sixes"));
  await page.tap("text=That was clean");
  const key = await page.evaluate(() => Object.keys(localStorage)[0]);
  await page.evaluate((k) => localStorage.setItem(k, localStorage.getItem(k).slice(5)), key);
  await page.reload();
  await page.waitForFunction(() => globalThis.practice !== undefined);
  assert.match(await page.textContent(".said-now"), /damaged/);
  assert.ok(await page.evaluate((k) => localStorage.getItem(`${k}, damaged`), key));
});

test("a practice of ten minutes: rungs, the student's turns, bursts, rests, from memory, and what it recorded", async () => {
  for (const one of opened.splice(0)) await one.context.close();
  const window = await open(browser, "about:blank", phone);
  opened.push(window);
  const { page, faults } = window;
  await page.clock.install({ time: new Date("2026-11-26T18:00:00") });
  await page.goto(pageOf(demo("climbing-sixes")));
  await page.waitForFunction(() => globalThis.practice !== undefined);
  await page.locator(".sitting .word").click();
  const heard = () => page.waitForFunction(() => globalThis.practice.player.decks.length > 0);
  const press = (text) => page.evaluate((t) => [...document.querySelectorAll("button")].find((one) => one.textContent === t).click(), text);
  // What the student does, by the second.
  const deeds = {
    60: () => press("70"),
    120: async () => (await press("80"), await press("That was clean")),
    // A fast clock runs past the engine, which has to answer first.
    150: async () => (await press("I play the next one"), await heard()),
    200: () => press("Show everything"),
    480: () => press("That was clean"),
  };
  const blocks = [];
  const seen = {};
  for (let second = 0; second < 700; second += 5) {
    await deeds[second]?.();
    const now = await page.evaluate(() => ({
      block: document.querySelector(".sitting [aria-current]")?.textContent,
      playing: globalThis.practice.player.playing,
      mode: document.querySelector(".page").dataset.mode,
      bpm: globalThis.practice.player.bpm,
      blanks: document.querySelectorAll(".loom .blank").length,
      clock: document.querySelector(".clock").textContent,
      loom: document.querySelector(".loom").getBoundingClientRect().top < document.querySelector(".foot").getBoundingClientRect().top,
    }));
    seen[second] = now;
    if (now.block !== undefined && now.block !== blocks.at(-1)?.block) blocks.push({ ...now, at: second });
    await page.clock.runFor(5000);
  }
  console.log(blocks.map(({ at, block }) => `${at} s: ${block}`).join("\n"));
  assert.deepEqual(blocks.map(({ block }) => /Rest|again and again|play it once|from memory/.exec(block)?.[0]), ["again and again", "Rest", "play it once", "Rest", "from memory"]);
  for (const { block, playing, loom } of blocks) {
    assert.equal(playing, !block.includes("Rest"), block);
    assert.ok(loom, "what is played is seen");
  }
  assert.ok(blocks.filter(({ block }) => block.includes("from memory")).every(({ mode }) => mode === "hidden"));
  assert.deepEqual([seen[5].bpm, seen[65].bpm, seen[125].bpm], [60, 70, 80]);
  assert.deepEqual([seen[155].mode, seen[205].mode], ["answer", "all"]);
  assert.ok(seen[155].blanks >= 2 && seen[205].blanks === 0);
  assert.match(seen[60].clock, /^[23]:\d\d left, then rest$/);
  assert.match(seen[245].clock, /^Rest\. 0:[45]\d left, then Fours on one string$/);
  assert.match(await page.textContent(".sitting-said"), /That was today/);
  assert.equal(await page.locator(".clock").isVisible(), false);
  const record = await page.evaluate(() => JSON.parse(Object.values(localStorage)[0]));
  assert.deepEqual(record.days, ["2026-11-26"]);
  assert.deepEqual(record.reached, [
    { idea: 1, notesPerBeat: 4, bpm: 80, day: "2026-11-26" },
    { idea: 3, notesPerBeat: 4, bpm: 60, day: "2026-11-26" },
  ]);
  await openAll(page);
  assert.match(await page.textContent(".progress"), /Six that folds back, 4 notes a beat: clean at 80.*You practised on one day, 26 November 2026/);
  assert.deepEqual(faults, []);
});

test("the ladder climbs by itself, two turns at each rung", async () => {
  const { page } = await show(demo("climbing-sixes"));
  await page.tap(".parts .word >> nth=2");
  await page.fill("#tempo", "100");
  await page.press("#tempo", "Enter");
  await page.tap("text=climb by itself");
  assert.match(await page.textContent(".said-now"), /Two turns at each rung, from 100 up to 120/);
  for (const index of [0, 3]) {
    const { x, y } = await middle(page, index);
    await page.touchscreen.tap(x, y);
  }
  for (const rung of ["110", "120"]) await page.waitForFunction((bpm) => document.querySelector("#tempo").value === bpm, rung);
  assert.equal(await page.evaluate(() => globalThis.practice.player.playing), true);
});

test("a row that is out of sight is turned to, for whoever looks at the loom", async () => {
  const { page } = await show(demo("climbing-sixes"), { height: 500 });
  await page.tap(".parts .word >> nth=2");
  await page.fill("#tempo", "144");
  await page.press("#tempo", "Enter");
  /** Where the played row of the loom stood at each picture, until so many notes were seen. */
  const watch = (from) =>
    page.evaluate(
      (least) =>
        new Promise((done) => {
          const { loom, player } = globalThis.practice;
          const list = [];
          const ends = performance.now() + 15000;
          const look = () => {
            const { note } = document.querySelector(".page").dataset;
            const row = loom.drawing.notes.find((one) => String(one.note) === note)?.row;
            const { top } = loom.element.getBoundingClientRect();
            const { y, height } = loom.drawing.rows[row ?? 0];
            if (note) list.push({ row, top: top + y, bottom: top + y + height, floor: document.querySelector(".foot").getBoundingClientRect().top, scroll: scrollY });
            if (performance.now() > ends || Number(note) >= least) return done(list);
            requestAnimationFrame(look);
          };
          look();
        }),
      from,
    );
  await page.tap(".play");
  const seen = await watch(28);
  assert.deepEqual([...new Set(seen.map(({ row }) => row))], [0, 1, 2]);
  for (const { row, top, bottom, floor } of seen) assert.ok(top >= 0 && bottom <= floor, `row ${row} from ${top} to ${bottom}, of ${floor}`);
  assert.ok(new Set(seen.map(({ scroll }) => scroll)).size <= 4, "it turns, it does not run");
  // Who reads the proof stays there.
  await page.evaluate(() => document.querySelector("blockquote").scrollIntoView());
  const before = await page.evaluate(() => scrollY);
  await page.waitForFunction(() => Number(document.querySelector(".page").dataset.note) === 3);
  await watch(28);
  assert.equal(await page.evaluate(() => scrollY), before);
});

test("at arm's length its digits can still be read", async () => {
  for (const dark of [false, true]) {
    const { page } = await show(demo("climbing-sixes"), { dark, scale: 2 });
    if (process.env["FRETLOOM_PICTURES"]) await page.screenshot({ path: join(process.env["FRETLOOM_PICTURES"], `phone-${dark ? "dark" : "light"}.png`) });
    await page.evaluate(() => (document.querySelector(".foot").hidden = true));
    const picture = await page.screenshot({ fullPage: true });
    // Half the picture of a screen of two dots to the pixel, and in it the places of the digits.
    const digits = await page.evaluate(async (base64) => {
      const bytes = Uint8Array.from(atob(base64), (c) => c.charCodeAt(0));
      const whole = await createImageBitmap(new Blob([bytes], { type: "image/png" }));
      const [width, height] = [whole.width / 2, whole.height / 2];
      const half = await createImageBitmap(whole, { resizeWidth: width, resizeHeight: height, resizeQuality: "high" });
      const canvas = new OffscreenCanvas(width, height).getContext("2d");
      canvas.drawImage(half, 0, 0);
      const linear = (v) => (v <= 10 ? v / 3294.6 : ((v / 255 + 0.055) / 1.055) ** 2.4);
      const found = [];
      for (const kind of ["loom", "sheet"]) {
        for (const text of document.querySelectorAll(`.${kind} text.fret`)) {
          const size = parseFloat(getComputedStyle(text).fontSize);
          for (let i = 0; i < text.getNumberOfChars(); ++i) {
            const at = text.getStartPositionOfChar(i).matrixTransform(text.getScreenCTM());
            const end = text.getEndPositionOfChar(i).matrixTransform(text.getScreenCTM());
            const em = size * text.getScreenCTM().d;
            const [left, top] = [Math.floor(at.x + scrollX), Math.floor(at.y + scrollY - 0.66 * em)];
            const [wide, high] = [Math.max(1, Math.round(end.x - at.x)), Math.ceil(0.7 * em)];
            const { data } = canvas.getImageData(left, top, wide, high);
            const light = Array.from({ length: wide * high }, (_, k) => 0.2126 * linear(data[4 * k]) + 0.7152 * linear(data[4 * k + 1]) + 0.0722 * linear(data[4 * k + 2]));
            const ground = [...light].sort((a, b) => a - b)[light.length >> 1];
            const off = light.map((x) => Math.abs(Math.sqrt(x) - Math.sqrt(ground)));
            const most = Math.max(...off);
            const rows = Array.from({ length: high }, (_, y) => off.slice(y * wide, (y + 1) * wide).some((x) => x > most / 2));
            const ink = light[off.indexOf(most)];
            found.push({ kind, height: rows.lastIndexOf(true) - rows.indexOf(true) + 1, contrast: (Math.max(ink, ground) + 0.05) / (Math.min(ink, ground) + 0.05) });
          }
        }
      }
      return found;
    }, picture.toString("base64"));
    const of = (kind) => digits.filter((one) => one.kind === kind);
    const least = (list, what) => Math.min(...list.map((one) => one[what]));
    console.log(["loom", "sheet"].map((kind) => `${dark ? "dark" : "light"} ${kind}: ${of(kind).length} digits, ${least(of(kind), "height")} px at least, contrast ${least(of(kind), "contrast").toFixed(1)}`).join("; "));
    assert.ok(of("loom").length >= 66 && of("sheet").length >= 66, "two digits a note");
    assert.ok(least(of("sheet"), "height") >= 9 && least(of("loom"), "height") >= 7);
    assert.ok(least(digits, "contrast") >= 4.5);
  }
});

test("on paper it is the rule, loom, sheet and proof in black on white", async () => {
  const { page } = await show(demo("climbing-sixes"), { dark: true });
  await page.emulateMedia({ media: "print", colorScheme: "dark" });
  const seen = await page.evaluate(() => ({
    foot: getComputedStyle(document.querySelector(".foot")).display,
    loom: getComputedStyle(document.querySelector(".loom")).display,
    ground: getComputedStyle(document.documentElement).backgroundColor,
    ink: getComputedStyle(document.querySelector(".loom .tone-ink")).color,
  }));
  assert.deepEqual(seen, { foot: "none", loom: "block", ground: "rgb(255, 255, 255)", ink: "rgb(0, 0, 0)" });
  // Printed from a phone it is drawn for the paper, and for the phone again behind that.
  await page.emulateMedia({ media: "screen" });
  const isPhones = () => page.waitForFunction(() => document.querySelector(".sheet svg").getAttribute("width") === "358");
  await isPhones();
  const widths = () => page.evaluate(() => ["loom", "sheet"].map((kind) => document.querySelector(`.${kind} svg`).getAttribute("width")));
  const before = await widths();
  const printed = page.evaluate(() => new Promise((done) => (window.print = () => done(["loom", "sheet"].map((kind) => document.querySelector(`.${kind} svg`).getAttribute("width"))))));
  await page.tap("text=Print this");
  const onPaper = await printed;
  onPaper.forEach((width, i) => assert.ok(width > 1.2 * before[i] && width <= 680, `${onPaper} ${before}`));
  await page.evaluate(() => window.dispatchEvent(new Event("afterprint")));
  await isPhones();
});

test("what an idea has for itself goes with the student's own words", async () => {
  const two = (words) => `title = "Two"\nauthor = "A"\n${words.lesson}\n[[idea]]\nname = "One"\ncell = "1 3 2 3 + 2 1"\nnotes_per_beat = [4]\n[[idea]]\nname = "Two"\n${words.idea}\ncell = "1 2 1 2 + 2 1"\nnotes_per_beat = [4]\n`;
  const { page } = await show(two({
    lesson: 'key = "E dorian"\ntuning = "standard"\nlayout = { from = 7 }\nvamp = { chords = "Em7 | A7" }',
    idea: 'key = "A mixolydian"\ntuning = "drop D"\nlayout = { from = 10 }\nvamp = { chords = "A7 | G/B A7" }',
  }));
  const text = () => page.evaluate(async () => (await globalThis.practice.lesson.call({ call: "text" })).result.text);
  const change = (own) => page.evaluate((words) => globalThis.practice.change({ hand: "right", size: 16, ...words }), own);
  const written = await text();
  assert.equal(await change({ key: "G dorian", tuning: '"all fourths"', from: 3 }), undefined);
  // Its first note lies four frets above the lesson's, as it did.
  const file = join(place.path, "two.toml");
  writeFileSync(file, two({
    lesson: 'key = "G dorian"\ntuning = "all fourths"\nlayout = { from = 3 }\nvamp = { chords = "Gm7 | C7" }',
    idea: 'key = "C mixolydian"\nlayout = { from = 7 }\nvamp = { chords = "C7 | Bb/D C7" }',
  }));
  const notes = await page.evaluate(async () => (await globalThis.practice.lesson.call({ call: "notes" })).result);
  assert.deepEqual(notes.ideas, JSON.parse(execFileSync(fretloom, ["notes", file, "--json"], { encoding: "utf8" })).ideas);
  const vamps = await page.evaluate(async () => Promise.all([1, 2].map(async (idea) => (await globalThis.practice.lesson.call({ call: "vamp", idea })).result.chords.map(({ name }) => name))));
  assert.deepEqual(vamps, [["Gm7", "C7"], ["C7", "Bb/D", "C7"]]);
  assert.equal(await change({}), undefined);
  assert.equal(await text(), written, "and back again");
});

/** In place of the device's: `log` says what was asked for and let go of, `answer` how the device answers. */
function fakeWakeLock() {
  const log = [];
  const held = new Set();
  globalThis.wakeLock = { log, held, answer: async () => undefined };
  const request = async (kind) => {
    log.push(kind);
    await globalThis.wakeLock.answer();
    const lock = { released: false, release: async () => ((lock.released = true), held.delete(lock)) };
    held.add(lock);
    return lock;
  };
  Object.defineProperty(navigator, "wakeLock", { value: { request }, configurable: true });
}

test("the screen stays lit while it sounds, and no longer", async () => {
  for (const one of opened.splice(0)) await one.context.close();
  const window = await open(browser, "about:blank", phone);
  opened.push(window);
  const { page, faults } = window;
  await page.addInitScript(fakeWakeLock);
  await page.goto(pageOf(demo("climbing-sixes")));
  await page.waitForFunction(() => globalThis.practice !== undefined);
  const lit = (count) => page.waitForFunction((n) => globalThis.wakeLock.held.size === n, count);
  const asked = () => page.evaluate(() => globalThis.wakeLock.log);
  assert.deepEqual(await asked(), []);
  await page.tap(".play");
  await lit(1);
  await page.tap("text=Hide the notes");
  await page.tap("text=Show everything");
  assert.deepEqual(await asked(), ["screen"], "asked for once, whatever is pressed while it sounds");
  // A browser lets go of it where the page is hidden.
  const show = (state) =>
    page.evaluate((now) => {
      Object.defineProperty(document, "visibilityState", { value: now, configurable: true });
      if (now === "hidden") for (const lock of globalThis.wakeLock.held) lock.release();
      document.dispatchEvent(new Event("visibilitychange"));
    }, state);
  await show("hidden");
  await lit(0);
  await show("visible");
  await lit(1);
  assert.deepEqual(await asked(), ["screen", "screen"]);
  await page.tap(".play");
  await lit(0);
  // Stopped before the device has answered.
  await page.evaluate(() => (globalThis.wakeLock.answer = () => new Promise((done) => setTimeout(done, 300))));
  await page.tap(".play");
  await page.tap(".play");
  await pause(600);
  await lit(0);
  await page.evaluate(() => (globalThis.wakeLock.answer = () => Promise.reject(new DOMException("no", "NotAllowedError"))));
  await page.tap(".play");
  await sounds(page);
  await lit(0);
  assert.deepEqual(faults, []);
});
