// The studio's page in Chromium: through the server of `fretloom studio`, and again as the one file that stands alone.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { copyFileSync, existsSync, readFileSync, readdirSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { after, before, describe, test } from "node:test";
import { axe, contrasts, folder, fretloom, launch, open, root, startStudio } from "../browser.mjs";

let browser;
before(async () => {
  browser = await launch();
});
after(() => browser.close());

/** The page as people come to it: what opens it, and what it is when no lesson is there. */
const settings = {
  server: async () => {
    const lessons = folder("lessons");
    const studio = await startStudio(lessons.path);
    return { address: studio.address, lessons: lessons.path, close: async () => (await studio.close(), lessons.remove()) };
  },
  "one file": async () => {
    const exported = folder("export");
    execFileSync(fretloom, ["studio", "--export", exported.path]);
    const [page] = readdirSync(exported.path).filter((name) => name.endsWith(".html"));
    return { address: pathToFileURL(join(exported.path, page)).href, lessons: null, close: async () => exported.remove() };
  },
};

const word = (page, key) => page.locator(`.word[data-key="${key}"]`).first();
const settled = (page) => page.waitForFunction(() => document.documentElement.dataset.working === "no");
const text = async (page, selector) => (await page.locator(selector).first().textContent()).replace(/\s+/g, " ").trim();

/** Types over a word: opens it, writes, keeps. */
async function change(page, key, words) {
  await word(page, key).focus();
  await page.keyboard.press("Enter");
  await page.locator(".word-sheet input").waitFor();
  await page.keyboard.type(words);
  await page.keyboard.press("Enter");
  await page.locator(".word-sheet").waitFor({ state: "detached" });
  await settled(page);
}

for (const [name, setting] of Object.entries(settings)) {
  describe(`the studio, ${name}`, () => {
    /** A window on an empty place; at the end nothing of it may have gone wrong, or gone elsewhere. */
    const inWindow = (title, options, run) =>
      test(title, async () => {
        const place = await setting();
        const { context, page, faults, requests } = await open(browser, place.address, options);
        try {
          await page.locator("html[data-ready]").waitFor({ state: "attached" });
          await run(page, place);
          assert.deepEqual(faults, []);
          const elsewhere = requests.filter((address) => !/^(http:\/\/127\.0\.0\.1[:/]|file:|data:|blob:)/.test(address));
          assert.deepEqual(elsewhere, []);
          if (name === "one file") assert.deepEqual(requests.filter((address) => address.startsWith("http")), []);
        } finally {
          await context.close();
          await place.close();
        }
      });

    inWindow("opens on a lesson that sounds at the first press", {}, async (page) => {
      assert.equal(await text(page, "h1"), "Climbing sixes");
      await page.locator(".loom svg").first().waitFor();
      await page.keyboard.press("Space");
      await page.locator("#idea-1 .hear[aria-pressed=true]").waitFor();
      await page.waitForFunction(() => globalThis.fretloomSound()?.playing);
      await page.keyboard.press("Space");
      await page.locator("#idea-1 .hear[aria-pressed=false]").waitFor();
    });

    inWindow("a lesson of five ideas is made by keyboard alone", {}, async (page, place) => {
      const presses = { count: 0 };
      const type = async (words) => {
        await page.keyboard.type(words);
        presses.count += words.length;
      };
      const press = async (key) => {
        await page.keyboard.press(key);
        presses.count += 1;
      };
      const began = Date.now();
      await press("Tab");
      await press("Enter");
      await page.locator(".new-title").waitFor();
      while (!(await page.evaluate(() => document.activeElement.matches(".new-title")))) await press("Tab");
      await type("From nothing");
      await press("Enter");
      await page.waitForFunction(() => document.querySelector("h1")?.textContent.includes("From nothing"));
      await page.locator(".another .rule").focus();
      presses.count += 1;
      for (const rule of ["1323+21", "123", "321+2", "12+3-2"]) {
        const ideas = await page.locator(".strip").count();
        await type(rule);
        await press("Enter");
        await page.waitForFunction((many) => document.querySelectorAll(".strip").length === many, ideas + 1);
      }
      await page.keyboard.press("Control+s");
      await settled(page);
      console.log(`  five ideas by keyboard: ${presses.count} presses, ${((Date.now() - began) / 1000).toFixed(1)} s of scripted typing (${name})`);
      assert.equal(await page.locator(".strip").count(), 5);
      assert.equal(await page.locator("#idea-2 input.rule").inputValue(), "1 3 2 3 + 2 1");
      if (place.lessons !== null) {
        const file = join(place.lessons, "from-nothing.toml");
        await page.waitForFunction(() => document.documentElement.dataset.kept === "yes");
        assert.ok(existsSync(file));
        assert.equal(readFileSync(file, "utf8").match(/^\[\[idea\]\]/gm).length, 5);
        execFileSync(fretloom, ["check", file], { stdio: "pipe" });
      }
    });

    inWindow("every kind of word changes what stands below it", {}, async (page) => {
      const said = async (key, words, sentence, wanted) => {
        await change(page, key, words);
        assert.match(await text(page, sentence), wanted, `${key}: ${words}`);
      };
      await said("key", "g lydian", ".lesson-sentence", /In G lydian,/);
      await said("tuning", "drop d", ".lesson-sentence", /six strings in drop D/);
      await said("layout.from", "fret 7", ".lesson-sentence", /from fret 7/);
      await said("vamp.chords", "Gmaj7 | A7", ".lesson-sentence", /over Gmaj7 \| A7/);
      await said("meter", "6/8", ".lesson-sentence", /in 6\/8/);
      await said("tempo.goal", "132", ".lesson-sentence", /up to 132/);
      await said("clear_after", "downstrokes", ".lesson-sentence", /clear after downstrokes/);
      await said("idea[1].carry.strings", "two strings thinner", "#idea-1 .sentence", /Carried two strings thinner/);
      await said("idea[1].repeats", "2", "#idea-1 .sentence", /Carried two strings thinner each time, twice/);
      await said("idea[1].picking", "economy picking", "#idea-1 .sentence", /economy picking/);
      await page.locator("#idea-1 .more").first().click();
      await said("idea[1].back", "and back note by note", "#idea-1 .sentence", /back/);
      await page.locator("#idea-1 .feel").nth(1).click();
      assert.equal(await page.locator("#idea-1 .feel").nth(1).getAttribute("aria-pressed"), "true");
      await page.locator("h1 .prose-field").fill("Another name");
      await settled(page);
      assert.equal(await text(page, "h1"), "Another name");
    });

    inWindow("a wrong value stays in the line with its reason and repair", {}, async (page) => {
      const before = await text(page, ".lesson-sentence");
      await word(page, "layout.from").click();
      await page.keyboard.type("fret 40");
      await page.keyboard.press("Enter");
      await page.locator(".word-sheet [role=alert]").waitFor();
      assert.equal(await page.locator(".word-sheet input").inputValue(), "fret 40");
      assert.equal(await text(page, ".lesson-sentence"), before);
      await page.keyboard.press("Escape");
      await page.waitForFunction(() => document.activeElement.dataset.key === "layout.from");
    });

    inWindow("a repair is pressed and the proof turns", {}, async (page) => {
      await change(page, "clear_after", "downstrokes");
      await page.locator("#idea-1 .proof.blocked").waitFor();
      const repair = page.locator("#idea-1 .proof .repair").first();
      await repair.click();
      await page.locator("#idea-1 .proof.good").waitFor();
    });

    inWindow("fifty steps back, and forward again", {}, async (page) => {
      const texts = [];
      const rule = page.locator("#idea-1 input.rule");
      for (let i = 0; i < 50; ++i) {
        texts.push(await page.evaluate(() => globalThis.fretloomText()));
        await change(page, "tempo.goal", String(70 + i));
      }
      const last = await page.evaluate(() => globalThis.fretloomText());
      await page.evaluate(() => document.activeElement.blur());
      for (let i = 49; i >= 0; --i) {
        await page.keyboard.press("Control+z");
        await page.waitForFunction((wanted) => globalThis.fretloomText() === wanted, texts[i]);
      }
      for (let i = 0; i < 50; ++i) await page.keyboard.press("Control+Shift+z");
      await page.waitForFunction((wanted) => globalThis.fretloomText() === wanted, last);
      assert.equal(await rule.inputValue(), "1 3 2 3 + 2 1");
    });

    inWindow("keys can be turned off, and stay off", {}, async (page) => {
      await page.locator("#idea-1 .sheet svg").first().waitFor();
      await page.locator("main .more", { hasText: "the keys" }).click();
      await page.locator(".keys-help .word", { hasText: "Turn them off" }).click();
      await page.locator(".keys-help .more").click();
      await page.reload();
      await page.locator("#idea-1 .sheet svg").first().waitFor();
      for (const key of ["Space", "?", "Control+Enter"]) await page.keyboard.press(key);
      assert.equal(await page.locator(".keys-help").count(), 0);
      assert.equal(await page.locator(".hear[aria-pressed=true]").count(), 0);
      await page.locator("#idea-1 .loom .hand-note").first().focus();
      await page.keyboard.press("r");
      await settled(page);
      assert.equal(await page.locator("#idea-1 input.rule").inputValue(), "1 3 2 3 + 2 1");
      await page.locator("main .more", { hasText: "the keys" }).click();
      await page.locator(".keys-help .word", { hasText: "Turn them on" }).click();
      await page.locator("#idea-1 .loom .hand-note").first().focus();
      await page.keyboard.press("r");
      await page.waitForFunction(() => document.querySelector("#idea-1 input.rule").value === "r 3 2 3 + 2 1");
    });

    inWindow("Tab goes through every word in reading order, and shows where it is", { width: 390, height: 844 }, async (page) => {
      await page.locator("#idea-1 .sheet svg").first().waitFor();
      const seen = [];
      for (let i = 0; i < 400; ++i) {
        await page.keyboard.press("Tab");
        const at = await page.evaluate(async () => {
          const element = document.activeElement;
          if (element === document.body) return null;
          const style = getComputedStyle(element);
          const all = [...document.querySelectorAll("button, input, textarea, a[href], [tabindex]")];
          const isMarked = style.outlineStyle !== "none" || style.boxShadow !== "none" || element.closest(".loom, .sheet, .neck") !== null;
          // WCAG 2.2, success criterion 2.4.11: something of what is focused can be seen, also when drawings came in above.
          const hidden = () => {
            const box = element.getBoundingClientRect();
            const foot = document.querySelector(".ladder").getBoundingClientRect().top;
            return element.closest(".ladder") === null && (box.top >= foot || box.bottom <= 0);
          };
          for (let frame = 0; frame < 20 && hidden(); ++frame) await new Promise((drawn) => requestAnimationFrame(drawn));
          const isHidden = hidden();
          return { isHidden, order: all.indexOf(element), key: element.dataset.key, name: element.ariaLabel ?? element.textContent, isMarked };
        });
        if (at === null || seen.some(({ order }) => order === at.order)) break;
        seen.push(at);
      }
      assert.deepEqual(seen.filter(({ isMarked, isHidden }) => !isMarked || isHidden), []);
      const orders = seen.map(({ order }) => order);
      assert.deepEqual(orders, [...orders].sort((a, b) => a - b));
      const keys = await page.evaluate(() => [...document.querySelectorAll("[data-key]")].map((one) => one.dataset.key));
      assert.deepEqual(seen.filter(({ key }) => key !== undefined).map(({ key }) => key), keys);
    });

    for (const [width, dark] of [[390, false], [390, true], [1440, false], [1440, true]]) {
      inWindow(`nothing stands in the way of anybody, ${width} px, ${dark ? "dark" : "light"}`, { width, dark, height: 900 }, async (page) => {
        const check = async (state) => {
          assert.deepEqual(await axe(page), [], state);
          const { measured, low } = await contrasts(page);
          assert.deepEqual(low, [], state);
          assert.ok(measured > 3, `only ${measured} texts were measured: ${state}`);
        };
        await page.locator(".sheet svg").first().waitFor();
        await check("the lesson");
        await page.locator(".lesson-sentence .more").click();
        await check("and more");
        await word(page, "key").click();
        await page.locator(".word-sheet li").first().waitFor();
        await check("a word");
        await page.keyboard.type("nothing");
        await page.keyboard.press("Enter");
        await page.locator(".word-sheet [role=alert]").waitFor();
        await check("a wrong word");
        await page.keyboard.press("Escape");
        await page.keyboard.press("Escape");
        await page.locator("#idea-1 .neck-row .more").click();
        await page.locator(".everywhere li").first().waitFor();
        await check("everywhere");
        await page.evaluate(() => document.activeElement.blur());
        await page.keyboard.press("?");
        await page.locator(".keys-help").waitFor();
        await check("the keys");
        await page.keyboard.press("?");
        await page.locator("nav .more").click();
        await page.locator(".lessons").waitFor();
        await check("your lessons");
        const wider = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
        assert.equal(wider, 0, "the page scrolls sideways");
      });
    }
  });
}

/** Whole numbers 0 to below - 1, the same for the same seed. */
function random(seed) {
  let state = seed >>> 0;
  return (below) => {
    state = (Math.imul(state, 1664525) + 1013904223) >>> 0;
    return Math.floor((state / 2 ** 32) * below);
  };
}

const TYPED = {
  key: ["g lydian", "C dorian", "F# minor", "Bb mixolydian", "E dorian", "H minor"],
  tuning: ["drop d", "standard", "E2 A2 D3 G3 B3 E4", "nothing"],
  "layout.from": ["fret 5", "7", "12", "the nut", "40"],
  "vamp.chords": ["Em7 | A7", "Dm7 | G7 | Cmaj7", "C", "X9"],
  meter: ["4/4", "3/4", "6/8", "2+2+3/8"],
  "tempo.goal": ["130", "96.5", "90", "fast"],
  clear_after: ["downstrokes", "both strokes", "upstrokes"],
  "idea[1].carry.strings": ["two strings thinner", "1", "one string thicker"],
  "idea[1].repeats": ["3", "as far as the neck goes", "2", "99"],
  "idea[1].picking": ["grid picking", "economy picking", "alternately"],
  "idea[1].first_stroke": ["an upstroke", "a downstroke"],
  "idea[2].back": ["and back note by note", "without a way back", "and back in a mirror"],
};
const RULES = ["1 2 3", "1323+21", "3h2", "12!3r+1", "3 2 1 - 1 2", "1x2 2 3"];

describe("the studio and its folder", () => {
  let studio;
  let lessons;
  before(async () => {
    lessons = folder("outside");
    copyFileSync(join(root, "demos/climbing-sixes.toml"), join(lessons.path, "sixes.toml"));
    studio = await startStudio(lessons.path);
  });
  after(async () => {
    await studio.close();
    lessons.remove();
  });
  const file = () => join(lessons.path, "sixes.toml");
  const openSixes = async () => {
    const window = await open(browser, `${studio.address}#sixes`);
    await window.page.locator("html[data-ready]").waitFor({ state: "attached" });
    await window.page.locator(".lesson-sentence").waitFor();
    return window;
  };

  test("an edit from outside comes in", async () => {
    const { page, context } = await openSixes();
    writeFileSync(file(), readFileSync(file(), "utf8").replace("goal = 120", "goal = 111"));
    await page.waitForFunction(() => document.querySelector(".lesson-sentence").textContent.includes("111"));
    await context.close();
  });

  test("two windows: neither writes over the other", async () => {
    const one = await openSixes();
    const two = await openSixes();
    await change(one.page, "tempo.slow", "55");
    await two.page.waitForFunction(() => document.querySelector(".lesson-sentence").textContent.includes("55"));
    // Both change it at the same moment, without a look at each other.
    await Promise.all([change(one.page, "tempo.slow", "51"), change(two.page, "tempo.slow", "52")]);
    const asked = await Promise.race([one, two].map(({ page }) => page.locator("p.finding.warning[role=alert]").waitFor().then(() => page)));
    await asked.locator("text=keep this one").click();
    await asked.waitForFunction(() => document.documentElement.dataset.kept === "yes");
    assert.match(readFileSync(file(), "utf8"), /slow = 5[12]/);
    await one.context.close();
    await two.context.close();
  });

  test("the pack is made, and can be verified", async () => {
    const { page, context } = await openSixes();
    await page.locator("text=Make the pack").click();
    await page.locator(".pack [role=status]").waitFor({ timeout: 120_000 });
    const made = await text(page, ".pack [role=status] code");
    execFileSync(fretloom, ["verify", made], { stdio: "pipe" });
    await context.close();
  });

  test("what is written out is what the command line writes", async () => {
    const { page, context } = await openSixes();
    const download = async (name) => {
      const [got] = await Promise.all([page.waitForEvent("download"), page.locator(".write-out .word", { hasText: name }).click()]);
      return readFileSync(await got.path());
    };
    const tab = await download("text tab");
    execFileSync(fretloom, ["export", file(), "-o", join(lessons.path, "x.txt")]);
    assert.equal(tab.toString(), readFileSync(join(lessons.path, "x.txt"), "utf8"));
    assert.equal((await download("the lesson file")).toString(), readFileSync(file(), "utf8"));
    assert.ok((await download("the handout")).subarray(0, 5).equals(Buffer.from("%PDF-")));
    await context.close();
  });

  test("200 random edits: the page, the saved file and the command line agree", { timeout: 240_000 }, async () => {
    const { page, context } = await openSixes();
    const next = random(15);
    const pick = (list) => list[next(list.length)];
    let refused = 0;
    for (let i = 0; i < 200; ++i) {
      if (next(4) === 0) {
        const rule = page.locator(`#idea-${1 + next(2)} input.rule`);
        await rule.fill(pick(RULES));
        await page.evaluate(() => document.activeElement.blur());
      } else {
        const key = pick(Object.keys(TYPED));
        if (!(await word(page, key).isVisible())) continue;
        await word(page, key).focus();
        await page.keyboard.press("Enter");
        await page.keyboard.type(pick(TYPED[key]));
        await page.keyboard.press("Enter");
        await settled(page);
        if (await page.locator(".word-sheet").isVisible()) {
          ++refused;
          await page.keyboard.press("Escape");
          await page.locator(".word-sheet").waitFor({ state: "detached" });
        }
      }
      await settled(page);
      if (i % 10 !== 9) continue;
      await page.keyboard.press("Control+s");
      await page.waitForFunction(() => document.documentElement.dataset.kept === "yes");
      const text = await page.evaluate(() => globalThis.fretloomText());
      assert.equal(readFileSync(file(), "utf8"), text);
      const ask = async (call) => (await page.evaluate((request) => globalThis.fretloomAsk(request), { call })).result;
      const run = (...args) => {
        try {
          return execFileSync(fretloom, args, { encoding: "utf8", stdio: ["ignore", "pipe", "ignore"] });
        } catch (error) {
          return error.stdout; // exit code 1: the lesson has errors
        }
      };
      assert.deepEqual(await ask("notes"), JSON.parse(run("notes", file(), "--json")), text);
    }
    assert.ok(refused > 5 && refused < 100, `${refused} edits were refused`);
    await context.close();
  });

  test("two presses on the sheet are the ends of a loop", async () => {
    copyFileSync(join(root, "demos/climbing-sixes.toml"), file());
    const { page, context } = await openSixes();
    await page.locator(".ladder .word", { hasText: "loop" }).click();
    await page.locator("#idea-1 .sheet svg").first().waitFor();
    const boxes = (await page.evaluate(() => globalThis.fretloomAsk({ call: "note_boxes", idea: 1, width: Math.floor(document.querySelector("#idea-1 .sheet").clientWidth) }))).result.notes;
    const sheet = await page.locator("#idea-1 .sheet .drawing-rows").boundingBox();
    await page.locator("#idea-1 .sheet").scrollIntoViewIfNeeded();
    for (const i of [4, 7]) {
      const { x, y, width, height } = boxes[i].box;
      await page.locator("#idea-1 .sheet .drawing-rows").click({ position: { x: x + width / 2, y: y + height / 2 } });
    }
    assert.ok(sheet.width > 0);
    await page.waitForFunction(() => globalThis.fretloomSound()?.playing);
    assert.match(await text(page, ".ladder"), /note 5 to 8/);
    const heard = new Set();
    for (let i = 0; i < 60; ++i) {
      const note = await page.evaluate(() => globalThis.fretloomSound().noteAt(globalThis.fretloomSound().heardAt(performance.now())));
      if (note !== undefined) heard.add(note);
      await page.waitForTimeout(25);
    }
    assert.deepEqual([...heard].sort((a, b) => a - b), [4, 5, 6, 7]);
    await context.close();
  });
});
