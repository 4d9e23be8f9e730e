import { createSubmission, withdraw } from "../../api/calls";
import { Problem, wordsOf } from "../../api/problem";
import type { NewSubmission, View } from "../../api/types";
import { forgetTakes, readTakes } from "../filming/takes";
import { newKey } from "../../words/keys";
import { waitBeforeTry } from "./chunks";
import * as cupboard from "./cupboard";
import { describeFile, fileKey, sameFile, type Entry, type EntryFile } from "./entry";
import { withArrival, type Arrival } from "./pace";
import { dropUpload, sendFile, type Sending } from "./send";

/** A clip to send; `takeId`: the take filmed here that it is, or was cut from. */
export interface Chosen {
  view: View;
  file: File;
  takeId?: string | null | undefined;
}

/** How an entry stands on this page; not stored. */
export type Going =
  | { kind: "waiting" }
  | { kind: "sending" }
  | { kind: "paused" }
  | { kind: "dropped"; words: string }
  | { kind: "stopped"; words: string }
  | { kind: "file_needed"; view: View; words: string }
  /** Another tab of this browser sends. */
  | { kind: "elsewhere" };

const SEND_AGAIN = new Set([0, 408, 409, 423, 429, 500, 502, 503, 504]);

/** Sends what students decided to send, one file at a time, and does not give up by itself. */
class Outbox {
  entries = $state<Entry[]>([]);
  going = $state<Record<string, Going>>({});
  /** What arrived of the entry that is being sent, since it goes on without a break. */
  arrivals = $state.raw<Arrival[]>([]);
  /** Counts entries that arrived whole, so that pages know to look again. */
  sent = $state(0);

  #owner = "";
  #files = new Map<string, File>();
  #active: Sending | null = null;
  #activeId = "";
  #mayRun = false;
  #queued = false;
  /** Entries of which the browser could not keep all: they live in this page alone. */
  unkept = $state<Record<string, boolean>>({});
  #givenUp = new Set<string>();
  #busy = false;
  #again = false;
  #wake: (() => void) | null = null;

  /** Take up what an earlier page left, for this member only. */
  async open(owner: string): Promise<void> {
    this.#owner = owner;
    await this.#read();
    window.addEventListener("online", () => this.tryNow());
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") void this.takeOver();
    });
    await (document.visibilityState === "hidden" ? this.#hold({}) : this.takeOver());
  }

  /**
   * Two tabs must not send the same file: the one that was opened or looked at last sends. A tab that lies in the
   * background may be frozen, so what is sent from the one in hand must not wait for it. It goes on when this is closed.
   */
  async takeOver(): Promise<void> {
    if (!this.#mayRun) await this.#hold({ steal: true });
  }

  #hold(how: LockOptions): Promise<void> {
    if (!("locks" in navigator)) return this.#begin();
    return new Promise<void>((begun) => {
      const held = navigator.locks.request(`fairlead-outbox-${this.#owner}`, how, async () => {
        if (!how.steal) this.#queued = false;
        await this.#begin();
        begun();
        return new Promise(() => undefined);
      });
      held.catch(() => {
        begun();
        this.#end();
      });
    });
  }

  async #begin(): Promise<void> {
    await this.#read();
    this.#mayRun = true;
    void this.#run();
  }

  /** Another tab took over. */
  #end(): void {
    this.#mayRun = false;
    for (const entry of this.entries) this.going[entry.id] = { kind: "elsewhere" };
    this.#interrupt();
    if (this.#queued) return;
    this.#queued = true;
    void this.#hold({});
  }

  /** What is kept for this member: an earlier page left it, or another tab has gone on with it. */
  async #read(): Promise<void> {
    const all = await cupboard.readEntries().catch(() => []);
    const kept = all.filter((entry) => entry.owner === this.#owner);
    const before = this.entries.filter((entry) => kept.every((one) => one.id !== entry.id));
    const here = before.filter((entry) => this.unkept[entry.id]);
    this.entries = [...kept, ...here];
    for (const entry of this.entries) this.going[entry.id] = { kind: entry.paused ? "paused" : "waiting" };
    if (before.length > here.length) this.sent += 1;
  }

  of(submissionId: string): Entry | undefined {
    return this.entries.find((entry) => entry.submissionId === submissionId);
  }

  /** Send a new submission. Returns once it is in the outbox, which from then on answers for the takes, too. */
  async add(form: NewSubmission, files: Chosen[]): Promise<string> {
    return this.#put({ form, submissionId: null }, files);
  }

  /** Send one clip into a submission that is there already, or go on with a half-sent one. */
  async addTo(submissionId: string, chosen: Chosen, uploadUrl: string | null = null): Promise<string> {
    return this.#put({ form: null, submissionId }, [{ ...chosen, uploadUrl }]);
  }

  async #put(
    what: Pick<Entry, "form" | "submissionId">,
    files: (Chosen & { uploadUrl?: string | null })[],
  ): Promise<string> {
    void cupboard.holdOn();
    const entry: Entry = {
      id: newKey(),
      owner: this.#owner,
      ...what,
      files: files.map((item) => describeFile(item.view, item.file, item.uploadUrl ?? null)),
      paused: false,
    };
    let kept = true;
    const copied: string[] = [];
    for (const [at, file] of entry.files.entries()) {
      const { file: film, takeId } = files[at] ?? {};
      if (film && (await this.#keepFile(fileKey(entry, file.view), film))) {
        if (takeId) copied.push(takeId);
      } else {
        if (takeId) file.takeId = takeId;
        kept &&= (await this.#takeOf(entry, file)) !== undefined;
      }
    }
    const written = cupboard.writeEntry($state.snapshot(entry));
    kept = (await written.catch(() => null)) !== null && kept;
    if (!kept) this.unkept[entry.id] = true;
    this.entries.push(entry);
    this.going[entry.id] = { kind: "waiting" };
    // The outbox has them now; the other takes stay until they are deleted.
    if (kept) await forgetTakes(copied);
    await this.takeOver();
    void this.#run();
    return entry.id;
  }

  /** The browser lost the file: take it again from the person. Says why if it is another one. */
  async giveFile(entry: Entry, view: View, file: File): Promise<void> {
    const described = entry.files.find((item) => item.view === view);
    if (described === undefined) return;
    if (!sameFile(described, file)) {
      const words = `That is another file. Choose ${described.name || "the same clip"} again to go on.`;
      this.going[entry.id] = { kind: "file_needed", view, words };
      return;
    }
    await this.#keepFile(fileKey(entry, view), file);
    this.going[entry.id] = { kind: "waiting" };
    void this.#run();
  }

  async pause(entry: Entry): Promise<void> {
    entry.paused = true;
    this.going[entry.id] = { kind: "paused" };
    if (this.#activeId === entry.id) this.#interrupt();
    await this.#save(entry);
  }

  async resume(entry: Entry): Promise<void> {
    entry.paused = false;
    this.going[entry.id] = { kind: "waiting" };
    await this.#save(entry);
    void this.#run();
  }

  tryNow(): void {
    this.#wake?.();
    void this.#run();
  }

  /** Give up on an entry: the submission is withdrawn, the files on this phone stay the person's own. */
  async cancel(entry: Entry): Promise<void> {
    // As a pause first: what is on its way ends, the next entry has its turn, and where this fails nothing goes on.
    await this.pause(entry);
    this.#givenUp.add(entry.id);
    for (const file of entry.files) {
      if (file.uploadUrl !== null && !file.done) await dropUpload(file.uploadUrl);
    }
    if (entry.submissionId !== null && entry.form !== null) await withdraw(entry.submissionId);
    await this.#forget(entry);
  }

  async #run(): Promise<void> {
    if (!this.#mayRun) return;
    if (this.#busy) {
      this.#again = true;
      return;
    }
    this.#busy = true;
    try {
      do {
        this.#again = false;
        for (const entry of [...this.entries]) {
          if (!entry.paused && this.going[entry.id]?.kind === "waiting") await this.#sendEntry(entry);
        }
      } while (this.#again);
    } finally {
      this.#busy = false;
    }
  }

  async #sendEntry(entry: Entry): Promise<void> {
    this.#activeId = entry.id;
    try {
      await this.#tryEntry(entry);
    } finally {
      this.#activeId = "";
    }
  }

  async #tryEntry(entry: Entry): Promise<void> {
    for (let tries = 1; this.#goesOn(entry); tries += 1) {
      const before = sentBytes(entry);
      try {
        if (await this.#sendAll(entry)) {
          await this.#forget(entry);
          await forgetTakes(entry.files.flatMap((file) => file.takeId ?? []));
          this.sent += 1;
        }
        return;
      } catch (error) {
        if (!(error instanceof Problem) || !SEND_AGAIN.has(error.status)) {
          this.going[entry.id] = { kind: "stopped", words: wordsOf(error) };
          return;
        }
        if (sentBytes(entry) > before) tries = 0;
        if (!this.#goesOn(entry)) return;
        this.going[entry.id] = { kind: "dropped", words: wordsOf(error) };
        await this.#sleep(waitBeforeTry(tries));
      }
    }
  }

  /** Whether this page is to go on with it. What another tab went on with was read anew, and is another object. */
  #goesOn(entry: Entry): boolean {
    return this.#mayRun && !entry.paused && this.entries.includes(entry);
  }

  /** False when it cannot go on for now (paused, or a file must be chosen again). */
  async #sendAll(entry: Entry): Promise<boolean> {
    if (entry.submissionId === null && entry.form !== null) {
      const id = (await createSubmission($state.snapshot(entry.form), entry.id)).id;
      if (this.#givenUp.has(entry.id)) {
        // While it was asked for.
        await withdraw(id);
        return false;
      }
      entry.submissionId = id;
      await this.#save(entry);
    }
    for (const file of entry.files) {
      if (file.done) continue;
      if (!this.#goesOn(entry) || !(await this.#sendOne(entry, file))) return false;
    }
    return true;
  }

  async #sendOne(entry: Entry, file: EntryFile): Promise<boolean> {
    const blob = (await this.#findFile(fileKey(entry, file.view))) ?? (await this.#takeOf(entry, file));
    if (blob === undefined || entry.submissionId === null) {
      const words = `This browser could not keep the file. Choose ${file.name || "it"} again; it goes on from where it stopped.`;
      this.going[entry.id] = { kind: "file_needed", view: file.view, words };
      return false;
    }
    if (!this.#goesOn(entry)) return false;
    const sending = sendFile(entry.submissionId, $state.snapshot(file), blob, {
      onUrl: (url) => {
        file.uploadUrl = url;
        this.arrivals = [{ ms: performance.now(), bytes: sentBytes(entry) }];
        if (this.#goesOn(entry)) this.going[entry.id] = { kind: "sending" };
        void this.#save(entry);
      },
      onArrived: (bytes) => {
        file.sentBytes = bytes;
        this.arrivals = withArrival(this.arrivals, { ms: performance.now(), bytes: sentBytes(entry) });
        if (this.#goesOn(entry)) this.going[entry.id] = { kind: "sending" };
        void this.#save(entry);
      },
    });
    this.#active = sending;
    const stopped = new Promise<false>((resolve) => (this.#wake = () => (this.#goesOn(entry) ? undefined : resolve(false))));
    try {
      if ((await Promise.race([sending.done.then(() => true as const), stopped])) === false) return false;
    } finally {
      this.#active = null;
      this.#wake = null;
    }
    file.done = true;
    await this.#save(entry);
    return true;
  }

  #interrupt(): void {
    this.#active?.stop();
    this.#wake?.();
  }

  #sleep(ms: number): Promise<void> {
    return new Promise<void>((resolve) => {
      const timer = setTimeout(resolve, ms);
      this.#wake = () => {
        clearTimeout(timer);
        resolve();
      };
    }).finally(() => (this.#wake = null));
  }

  /** False where the browser has no room, or keeps nothing: the file then lives as long as the page. */
  async #keepFile(key: string, file: File): Promise<boolean> {
    this.#files.set(key, file);
    return cupboard.writeFile(key, file).then(
      () => true,
      () => false,
    );
  }

  /** The take that a file is, whole, where takes are kept. */
  async #takeOf(entry: Entry, file: EntryFile): Promise<File | undefined> {
    if (file.takeId === undefined) return undefined;
    const takes = await readTakes(entry.owner, file.view);
    return takes.find((take) => take.id === file.takeId && sameFile(file, take.file))?.file;
  }

  async #findFile(key: string): Promise<File | undefined> {
    return this.#files.get(key) ?? (await cupboard.readFile(key).catch(() => undefined));
  }

  async #save(entry: Entry): Promise<void> {
    // Another tab knows better by now.
    if (!this.#mayRun) return;
    await cupboard.writeEntry($state.snapshot(entry)).catch(() => undefined);
  }

  async #forget(entry: Entry): Promise<void> {
    this.entries = this.entries.filter((item) => item.id !== entry.id);
    delete this.going[entry.id];
    delete this.unkept[entry.id];
    for (const file of entry.files) this.#files.delete(fileKey(entry, file.view));
    await cupboard.forget($state.snapshot(entry)).catch(() => undefined);
  }
}

const sentBytes = (entry: Entry): number => entry.files.reduce((sum, file) => sum + file.sentBytes, 0);

export const outbox = new Outbox();
