// The screen stays lit while somebody plays, where the device allows it.

export class KeepAwake {
  #wanted = false;
  #lock: WakeLockSentinel | undefined;
  /** One after the other: a lock that comes when it is no longer wanted goes again. */
  #work: Promise<void> = Promise.resolve();

  constructor() {
    // The browser lets go of the lock where the page is hidden.
    document.addEventListener("visibilitychange", () => this.#follow());
  }

  want(wanted: boolean): void {
    this.#wanted = wanted;
    this.#follow();
  }

  #follow(): void {
    this.#work = this.#work.then(() => this.#settle());
  }

  async #settle(): Promise<void> {
    const due = this.#wanted && document.visibilityState === "visible";
    const held = this.#lock !== undefined && !this.#lock.released;
    try {
      if (due && !held) this.#lock = await navigator.wakeLock?.request("screen");
      else if (!due && held) await this.#lock?.release();
    } catch {
      // A device that saves its battery says no; practice goes on.
    }
  }
}
