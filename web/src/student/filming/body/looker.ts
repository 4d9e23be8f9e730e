import type { Answer, Ask, Seen } from "./messages";

/** How long the networks may take to arrive over a poor line; the outline is shown meanwhile. */
const READY_WITHIN_MS = 300_000;

/** The page's side of the web worker: one picture at a time. */
export class Looker {
  #next = 1;
  #waiting = new Map<number, { tell: (seen: Seen) => void; fail: (error: Error) => void }>();

  private constructor(private readonly worker: Worker) {
    worker.addEventListener("message", (event: MessageEvent<Answer>) => this.#hear(event.data));
  }

  /** Start the networks. Rejects where this browser cannot run them. */
  static async open(): Promise<Looker> {
    if (typeof Worker === "undefined" || typeof WebAssembly === "undefined") throw new Error("no WebAssembly");
    // A classic worker: the runtime loads its own code with importScripts.
    const worker = new Worker(new URL("./body.worker.ts", import.meta.url));
    try {
      await started(worker);
    } catch (error) {
      worker.terminate();
      throw error;
    }
    return new Looker(worker);
  }

  /** What a picture shows. Rejects when the look failed. */
  look(picture: ImageData): Promise<Seen> {
    const id = this.#next;
    this.#next += 1;
    const bytes = picture.data.buffer as ArrayBuffer;
    const ask: Ask = { id, width: picture.width, height: picture.height, bytes };
    return new Promise((tell, fail) => {
      this.#waiting.set(id, { tell, fail });
      this.worker.postMessage(ask, [bytes]);
    });
  }

  close(): void {
    this.worker.terminate();
    for (const { fail } of this.#waiting.values()) fail(new Error("closed"));
    this.#waiting.clear();
  }

  #hear(answer: Answer): void {
    if (answer.kind !== "seen" && answer.kind !== "missed") return;
    const waiting = this.#waiting.get(answer.id);
    this.#waiting.delete(answer.id);
    if (answer.kind === "seen") waiting?.tell(answer.seen);
    else waiting?.fail(new Error(answer.words));
  }
}

function started(worker: Worker): Promise<void> {
  return new Promise((ready, fail) => {
    const timer = setTimeout(() => fail(new Error("too slow")), READY_WITHIN_MS);
    worker.addEventListener("error", (event) => fail(new Error(event.message)));
    worker.addEventListener("message", (event: MessageEvent<Answer>) => {
      if (event.data.kind === "failed") fail(new Error(event.data.words));
      if (event.data.kind === "ready") ready();
      clearTimeout(timer);
    });
  });
}
