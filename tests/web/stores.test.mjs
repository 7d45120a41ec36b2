// Where lessons are kept: the folder behind `fretloom studio`, and the browser. Both keep the same promises; the tests run
// in the real pages, under their policies.
import assert from "node:assert/strict";
import { existsSync, readFileSync, readdirSync, renameSync, unlinkSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";
import { after, before, describe, test } from "node:test";
import { build } from "esbuild";
import { exportStudio, folder, launch, open, root, serveFolder, startStudio } from "./browser.mjs";

/** The page's own modules as `stores`, for a window where they are to be tried. */
async function stores(alone) {
  const { outputFiles } = await build({
    stdin: {
      contents: `
        export * from "./web/studio/browser_store.ts";
        export * from "./web/studio/folder_store.ts";
        export * from "./web/studio/store.ts";
        export * from "./web/studio/title.ts";
        export * from "./web/studio/surroundings.ts";`,
      resolveDir: root, loader: "ts",
    },
    bundle: true, write: false, format: "iife", globalName: "stores", define: { FRETLOOM_ALONE: String(alone) },
  });
  return `${outputFiles[0].text}; globalThis.stores = stores;`;
}

const lesson = (title) => `format = 1\ntitle = "${title}"\nkey = "E dorian"\nlayout = { notes = 3, from = 12 }\n\n[[idea]]\ncell = "1 3 2 3 + 2 1"\n`;

let browser;
before(async () => (browser = await launch()));
after(() => browser.close());

/** A window with `store` opened in it, and `told`, a list of what it is told of others. */
async function withStore(page, alone) {
  await page.evaluate(await stores(alone));
  await page.evaluate(async () => {
    globalThis.store = await globalThis.stores.openStore();
    globalThis.told = [];
    globalThis.store.watch((changes) => globalThis.told.push(...changes));
  });
}

/** Ways to have two windows on one store. */
const PLACES = {
  folder: async () => {
    const place = folder("stores");
    const studio = await startStudio(place.path);
    return { address: studio.address, alone: false, path: place.path, close: async () => (await studio.close(), place.remove()) };
  },
  "browser, hosted": async () => {
    const place = folder("stores");
    exportStudio(place.path);
    const host = await serveFolder(place.path);
    return { address: host.address, alone: true, close: async () => (await host.close(), place.remove()) };
  },
  "browser, from the disk": async () => {
    const place = folder("stores");
    exportStudio(place.path);
    return { address: pathToFileURL(join(place.path, "index.html")).href, alone: true, close: () => place.remove() };
  },
};

for (const [name, start] of Object.entries(PLACES)) {
  describe(name, () => {
    let place, first, page, other;
    before(async () => {
      place = await start();
      first = await open(browser, place.address);
      page = first.page;
      await withStore(page, place.alone);
      other = await first.context.newPage();
      await other.goto(place.address);
      await withStore(other, place.alone);
    });
    after(async () => {
      await first.context.close();
      await place.close();
    });
    /** Runs in a window, with its store. A StoreError comes back as { kind, message }. As text, since the page's policy lets
     * nothing be made into a function there. */
    const run = (window, work, argument = null) =>
      window.evaluate(`(${work})(globalThis.store, ${JSON.stringify(argument)}).catch((error) => {
        if (!(error instanceof globalThis.stores.StoreError)) throw error;
        return { kind: error.kind, message: error.message };
      })`);
    const until = async (window, names) => {
      for (let i = 0; i < 100; ++i) {
        const told = await window.evaluate(() => globalThis.told);
        if (names.every((one) => told.some(({ name: there }) => there === one))) return told;
        await new Promise((done) => setTimeout(done, 50));
      }
      return assert.fail(`told ${JSON.stringify(await window.evaluate(() => globalThis.told))}, not ${names}`);
    };

    test("begins empty, and keeps what is created under a free name", async () => {
      assert.deepEqual(await run(page, (store) => store.list()), []);
      const created = await run(page, (store, text) => store.create("Climbing Sixes!", text), lesson("Climbing sixes"));
      assert.equal(created.name, "climbing-sixes");
      assert.equal((await run(page, (store, text) => store.create("climbing-sixes.toml", text), lesson("Another"))).name, "climbing-sixes-2");
      const list = await run(page, (store) => store.list());
      assert.deepEqual(list.map(({ name: there, title, away }) => [there, title, away]), [["climbing-sixes-2", "Another", false], ["climbing-sixes", "Climbing sixes", false]]);
      assert.equal(list[1].text, lesson("Climbing sixes"));
      assert.equal(list[1].version, created.version);
    });

    test("tells the other window, and not this one", async () => {
      await page.evaluate(() => (globalThis.told.length = 0));
      await until(other, ["climbing-sixes", "climbing-sixes-2"]);
      await new Promise((done) => setTimeout(done, 700));
      assert.deepEqual(await page.evaluate(() => globalThis.told), []);
    });

    test("writes over the text that a text was made from, and over no other", async () => {
      const { version } = await run(page, (store) => store.read("climbing-sixes"));
      const mine = await run(page, (store, [text, base]) => store.write("climbing-sixes", text, base), [lesson("Mine"), version]);
      assert.ok(mine.version);
      const theirs = await run(other, (store, [text, base]) => store.write("climbing-sixes", text, base), [lesson("Theirs"), version]);
      assert.deepEqual(theirs, { conflict: { text: lesson("Mine"), version: mine.version } });
      assert.equal((await run(other, (store) => store.read("climbing-sixes"))).text, lesson("Mine"));
      // The teacher chose.
      const chosen = await run(other, (store, [text, base]) => store.write("climbing-sixes", text, base), [lesson("Theirs"), mine.version]);
      assert.ok(chosen.version);
      // The same text is no conflict, and a lesson that must not be there is not written over.
      assert.deepEqual(await run(page, (store, [text, base]) => store.write("climbing-sixes", text, base), [lesson("Theirs"), version]), chosen);
      assert.ok("conflict" in (await run(page, (store, text) => store.write("climbing-sixes", text, null), lesson("New"))));
      assert.ok((await run(page, (store, text) => store.write("fresh", text, null), lesson("Fresh"))).version);
    });

    test("loses nothing where two windows write at once", async () => {
      const count = async (store, [name, times]) => {
        let done = 0;
        while (done < times) {
          const { text, version } = await store.read(name);
          const number = Number(/n = (\d+)/.exec(text)[1]);
          const answer = await store.write(name, `n = ${number + 1} # ${Math.random()}\n`, version);
          if ("version" in answer) ++done;
        }
      };
      const { name: counter } = await run(page, (store) => store.create("counter", "n = 0\n"));
      await Promise.all([run(page, count, [counter, 20]), run(other, count, [counter, 20])]);
      assert.match((await run(page, (store, there) => store.read(there), counter)).text, /^n = 40 /);
    });

    test("copies, puts away and brings back", async () => {
      const copied = await run(page, (store) => store.copy("fresh"));
      assert.equal(copied.name, "fresh-2");
      const away = await run(page, (store) => store.away("fresh"));
      const find = async (there) => (await run(other, (store) => store.list())).find(({ name: one }) => one === there);
      assert.equal((await find(away.name)).away, true);
      assert.equal((await find(away.name)).text, lesson("Fresh"));
      const back = await run(page, (store, there) => store.back(there), away.name);
      assert.equal((await find(back.name)).away, false);
    });

    test("refuses in sentences", async () => {
      for (const work of [
        (store) => store.read("gone"), (store) => store.write("gone", "x = 1\n", "1"), (store) => store.copy("gone"), (store) => store.away("gone"),
      ]) {
        const refused = await run(page, work);
        assert.equal(refused.kind, "gone");
        assert.match(refused.message, /^[A-Z].*\.$/);
      }
      const large = await run(page, (store) => store.create("large", "#".repeat(1024 * 1024 + 1)));
      assert.equal(large.kind, "wrong");
      assert.match(large.message, /1 MB/);
    });

    test("starts the engine under the page's policy", async () => {
      const result = await page.evaluate(async (text) => {
        const { engine, ready } = globalThis.stores.startEngine();
        await ready;
        return (await engine.open(text).call({ call: "findings" })).result;
      }, lesson("X"));
      assert.ok(result);
    });

    test("asks for nothing from elsewhere, and nothing fails", () => {
      const origin = place.address.startsWith("file:") ? place.address : new URL(place.address).origin;
      const outside = first.requests.filter((url) => !url.startsWith(origin) && !url.startsWith("blob:") && !url.startsWith("data:"));
      assert.deepEqual(outside, []);
      // A refusal and a conflict are answers with a status that the browser writes down.
      assert.deepEqual(first.faults.filter((fault) => !/status of (404|409|413)/.test(fault)), []);
    });

    if (name === "folder") {
      test("notices what other programs do to its files", async () => {
        await page.evaluate(() => (globalThis.told.length = 0));
        writeFileSync(join(place.path, "outside.toml"), lesson("Outside"));
        const [{ version }] = (await until(page, ["outside"])).filter(({ name: there }) => there === "outside");
        assert.equal(version, (await run(page, (store) => store.read("outside"))).version);
        await page.evaluate(() => (globalThis.told.length = 0));
        renameSync(join(place.path, "outside.toml"), join(place.path, "renamed.toml"));
        const told = await until(page, ["outside", "renamed"]);
        assert.equal(told.find(({ name: there }) => there === "outside").version, null);
        unlinkSync(join(place.path, "renamed.toml"));
      });

      test("makes a pack and files", async () => {
        const last = await run(page, async (store) => {
          await store.pack.start("climbing-sixes", { only: ["tab", "midi"] });
          return new Promise((resolve) => {
            const end = store.pack.watch((state) => {
              if (state.state === "idle" || state.state === "running") return;
              end();
              resolve(state);
            });
          });
        });
        assert.equal(last.state, "done", last.message);
        assert.ok(existsSync(last.made.zip));
        const about = await run(page, (store) => store.pack.about("climbing-sixes"));
        assert.deepEqual(about.choice.only, ["tab", "midi"]);
        const file = await run(page, async (store) => {
          const { name: there, blob } = await store.output("climbing-sixes", { format: "pdf", paper: "letter" });
          return [there, (await blob.text()).slice(0, 5)];
        });
        assert.deepEqual(file, ["climbing-sixes.pdf", "%PDF-"]);
        const refused = await run(page, (store) => store.output("climbing-sixes", { format: "wav", idea: 9 }));
        assert.equal(refused.kind, "wrong");
      });

      test("keeps each lesson in its file", async () => {
        const { text } = await run(page, (store) => store.read("climbing-sixes"));
        assert.equal(readFileSync(join(place.path, "climbing-sixes.toml"), "utf8"), text);
        assert.deepEqual(readdirSync(place.path).filter((file) => file.includes(".tmp-") || file === ".fretloom"), []);
      });
    } else {
      test("keeps lessons when the page is closed", async () => {
        const again = await first.context.newPage();
        await again.goto(place.address);
        await withStore(again, true);
        assert.equal((await run(again, (store) => store.read("climbing-sixes"))).text, lesson("Theirs"));
        await again.close();
      });
    }

    if (name === "browser, hosted") {
      test("opens without a network once it was opened", async () => {
        await page.evaluate(async () => {
          globalThis.stores.keepPage();
          await navigator.serviceWorker.ready;
        });
        await first.context.setOffline(true);
        const again = await first.context.newPage();
        await again.goto(place.address);
        assert.equal(await again.title(), "Fretloom");
        await again.close();
        await first.context.setOffline(false);
      });
    }
  });
}

test("titles are read as the engine reads them", async () => {
  const place = folder("titles");
  const texts = ['title = "Plain"\n', "  title='Literal'  # x\n", '# title = "No"\ntitle = "Caf\\u00e9 \\"x\\" \\t y"\n', 'key = "C major"\n[vamp]\ntitle = "No"\n', "title = \n", ""];
  texts.forEach((text, index) => writeFileSync(join(place.path, `t${index}.toml`), text));
  const studio = await startStudio(place.path);
  const { page, context } = await open(browser, studio.address);
  await withStore(page, false);
  const pairs = await page.evaluate(async () => (await globalThis.store.list()).map(({ title, text, name }) => [title, globalThis.stores.titleOf(text).replace(/\s+/g, " ") || name]));
  assert.equal(pairs.length, texts.length);
  for (const [theirs, ours] of pairs) assert.equal(ours, theirs);
  await context.close();
  await studio.close();
  place.remove();
});

test("many windows do not keep each other waiting", async () => {
  const place = folder("windows");
  writeFileSync(join(place.path, "sixes.toml"), lesson("Sixes"));
  const studio = await startStudio(place.path);
  const { page, context } = await open(browser, studio.address);
  const windows = [page];
  while (windows.length < 9) {
    windows.push(await context.newPage());
    await windows.at(-1).goto(studio.address);
  }
  for (const window of windows) {
    await withStore(window, false);
    await window.evaluate(() => void globalThis.store.pack.watch((state) => (globalThis.packing = state.state)));
  }
  await new Promise((done) => setTimeout(done, 1000));
  const began = performance.now();
  for (const window of windows) assert.equal((await window.evaluate(() => globalThis.store.list())).length, 1);
  assert.ok(performance.now() - began < 5000, `${performance.now() - began} ms`);
  writeFileSync(join(place.path, "new.toml"), lesson("New"));
  for (const window of windows) {
    await window.waitForFunction(() => globalThis.told.some(({ name }) => name === "new") && globalThis.packing === "idle");
    assert.equal((await window.evaluate(() => globalThis.told)).length, 1);
  }
  await context.close();
  await studio.close();
  place.remove();
});

test("tells that the server has gone, and goes on when it is back", async () => {
  const place = folder("restart");
  writeFileSync(join(place.path, "sixes.toml"), lesson("Sixes"));
  let studio = await startStudio(place.path);
  const port = Number(new URL(studio.address).port);
  const { page, context } = await open(browser, studio.address);
  await withStore(page, false);
  await studio.close();
  const refused = await page.evaluate(() => globalThis.store.read("sixes").catch(({ kind, message }) => ({ kind, message })));
  assert.equal(refused.kind, "away");
  assert.match(refused.message, /does not answer/);
  studio = await startStudio(place.path, port);
  // Another run has another token; the page asks for it.
  const written = await page.evaluate(async (text) => {
    const { version } = await globalThis.store.read("sixes");
    return globalThis.store.write("sixes", text, version);
  }, lesson("Again"));
  assert.ok(written.version);
  assert.equal(readFileSync(join(place.path, "sixes.toml"), "utf8"), lesson("Again"));
  await context.close();
  await studio.close();
  place.remove();
});
