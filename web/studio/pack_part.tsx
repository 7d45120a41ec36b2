// The pack: what it will hold, one press, how far it is, where it lies.

import { useEffect, useState } from "preact/hooks";
import type { Saving } from "./saving.js";
import { StoreError, type PackAbout, type PackState, type Store } from "./store.js";

interface PackPartProps {
  readonly store: Store;
  readonly saving: Saving;
}

export function PackPart({ store, saving }: PackPartProps) {
  const { pack } = store;
  if (pack === undefined)
    return (
      <section class="pack" aria-label="The pack">
        <h2>The pack</h2>
        <p>
          The pack is made by the program on your computer, with sound files and a zip: write out the lesson file below and run{" "}
          <code>fretloom pack</code> on it. The page that students see is in it. A page alone cannot write folders.
        </p>
      </section>
    );
  return <Packing pack={pack} saving={saving} />;
}

function Packing({ pack, saving }: { readonly pack: NonNullable<Store["pack"]>; readonly saving: Saving }) {
  const name = saving.name.value ?? "";
  const [about, setAbout] = useState<PackAbout | null>(null);
  const [state, setState] = useState<PackState | null>(null);
  const [fault, setFault] = useState("");
  const [paper, setPaper] = useState<"a4" | "letter" | null>(null);
  const [ladder, setLadder] = useState<boolean | null>(null);
  const done = state?.state;
  useEffect(() => pack.watch(setState), [pack]);
  useEffect(() => {
    if (name === "") return;
    let open = true;
    pack.about(name).then(
      (said) => open && setAbout(said),
      (error: unknown) => open && setFault(error instanceof StoreError ? error.message : String(error)),
    );
    return () => {
      open = false;
    };
  }, [pack, name, done]);
  const running = state?.state === "running" && state.name === name;
  const nowPaper = paper ?? about?.choice.paper ?? "a4";
  const nowLadder = ladder ?? about?.choice.tempo.includes("ladder") ?? false;
  const start = async () => {
    setFault("");
    try {
      await pack.start(await saving.keptName(), { paper: nowPaper, tempo: nowLadder ? ["ladder"] : [] });
    } catch (error) {
      if (!(error instanceof StoreError)) throw error;
      setFault(error.message);
    }
  };
  const see = async () => window.open(pack.studentsPage(await saving.keptName()), "_blank", "noopener");
  const made = state?.state === "done" && state.name === name ? state.made : (about?.made ?? null);
  const changes = state?.state === "done" && state.name === name ? state.changes : (about?.changes ?? []);
  return (
    <section class="pack" aria-label="The pack">
      <h2>The pack</h2>
      <p class="sentence">
        A handout on{" "}
        <button type="button" class="word" onClick={() => setPaper(nowPaper === "a4" ? "letter" : "a4")}>
          {nowPaper === "a4" ? "A4" : "Letter"}
        </button>
        , text tab, MIDI and MusicXML, sound at{" "}
        <button type="button" class="word" onClick={() => setLadder(!nowLadder)}>
          {nowLadder ? "every tempo of the ladder" : "the slow tempo and the goal"}
        </button>
        , with a band and without it, the band alone to play with, a page to practise with, a practice plan, captions, and for you the
        script, the description and the e-mail.
      </p>
      <p>
        <button type="button" class="word" onClick={() => void see()}>
          What students see
        </button>{" "}
        opens their page with the lesson as it is now.
      </p>
      <p class="hear-line">
        {running ? (
          <>
            <button type="button" class="hear" onClick={() => void pack.stop()}>
              Stop
            </button>
            <progress max="1" value={state.part} aria-label="How far the pack is" /> <span class="hint">{state.message}</span>
          </>
        ) : (
          <button type="button" class="hear" onClick={() => void start()}>
            Make the pack
          </button>
        )}
      </p>
      {fault !== "" && (
        <p class="finding error" role="alert">
          {fault}
        </p>
      )}
      {state !== null && !running && state.name === name && state.state !== "done" && state.message !== "" && <p class="finding note">{state.message}</p>}
      {made !== null && !running && (
        <p role="status">
          {made.files} files lie in <code>{made.folder}</code>, yours in <code>{made.teacher}</code>, and all that students get in <code>{made.zip}</code>.
        </p>
      )}
      {state?.notes.map((note) => (
        <p key={note} class="finding note">
          {note}
        </p>
      ))}
      {changes.length > 0 && (
        <>
          <p>Since the last pack:</p>
          <ul>
            {changes.map((change) => (
              <li key={change}>{change}</li>
            ))}
          </ul>
        </>
      )}
    </section>
  );
}
