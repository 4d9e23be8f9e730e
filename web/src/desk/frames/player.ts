import { loopFrame, type Loop } from "./loop";
import { clampFrame, frameAt, seekTarget } from "./seek";

/** How long a presentation may take after its seek before the seek is made again. */
const ASK_AGAIN_MS = 400;
/** From here on a coach is told that the frame is on its way. */
const SLOW_AFTER_MS = 300;

const turn = (): Promise<unknown> => new Promise((resolve) => requestAnimationFrame(resolve));

async function twoTurns(): Promise<void> {
  await turn();
  await turn();
}

/** A page that nobody sees presents nothing: wait until somebody does. */
const pageSeen = (): Promise<unknown> =>
  document.visibilityState === "visible"
    ? Promise.resolve()
    : new Promise((resolve) => document.addEventListener("visibilitychange", resolve, { once: true }));

export interface Watcher {
  /** A frame is on the screen: number and picture change together. */
  shown: (frame: number) => void;
  /** A frame was asked for; whoever goes in step can set out at the same moment. */
  aimed?: (frame: number) => void;
  /** Whether a frame that was asked for is taking its time. */
  busy?: (busy: boolean) => void;
  running?: (running: boolean) => void;
}

/**
 * Shows exact frames of a proxy. A seek asked for while another is running replaces the one that
 * waits, so holding a key down never queues up work. A frame counts as shown when the browser has
 * presented a picture of that very frame, never because time has passed.
 */
export class FramePlayer {
  #wanted: number | null = null;
  #shown = 0;
  #presented: number | null = null;
  #waiting: (() => void) | null = null;
  #seeking = false;
  #closed = false;
  #callback = 0;
  /** Raised by every new act: a loop goes on only while the number is its own. */
  #act = 0;
  #looping = false;
  #slow: ReturnType<typeof setTimeout> | undefined;

  constructor(
    private readonly video: HTMLVideoElement,
    private readonly times: readonly number[],
    private readonly watcher: Watcher,
  ) {
    if (this.#tells) this.#listen();
    video.addEventListener("play", this.#say);
    video.addEventListener("pause", this.#say);
    video.addEventListener("ended", this.#say);
  }

  get playing(): boolean {
    return this.#looping || !this.video.paused;
  }

  /** The frame that was asked for last: the next step counts from here. */
  get aim(): number {
    return this.#wanted ?? this.#shown;
  }

  /** Stop, and show frame `index` (clamped to the clip). */
  async show(index: number): Promise<void> {
    this.#halt();
    await this.#reach(clampFrame(this.times, index));
  }

  /** Run on at `rate` (seconds of the file to a second), muted, telling each frame as it shows. */
  async play(rate: number): Promise<void> {
    this.#halt();
    this.video.playbackRate = rate;
    if (this.#shown >= this.times.length - 1) await this.#reach(0);
    await this.video.play();
  }

  /** Another speed for what runs on. */
  pace(rate: number): void {
    this.video.playbackRate = rate;
  }

  /** Stop on the frame that is on show. */
  async stop(): Promise<void> {
    const running = !this.video.paused;
    this.#halt();
    if (running) await this.#reach(frameAt(this.times, this.video.currentTime));
  }

  /**
   * Go round between two frames until something else is asked for. Every frame is sought by itself:
   * running on and jumping back would let a frame beyond the end slip onto the screen.
   */
  async loop(loop: Loop): Promise<void> {
    this.#halt();
    const mine = this.#act;
    this.#looping = true;
    this.#say();
    await this.#reach(loopFrame(this.times, loop, 0));
    const start = performance.now();
    while (mine === this.#act && !this.#closed) {
      const frame = loopFrame(this.times, loop, (performance.now() - start) / 1000);
      if (frame !== this.#shown) await this.#reach(frame);
      if (mine === this.#act) await turn();
    }
  }

  /** Let go of the video. */
  close(): void {
    this.#closed = true;
    this.#halt();
    clearTimeout(this.#slow);
    if (this.#tells) this.video.cancelVideoFrameCallback(this.#callback);
    for (const name of ["play", "pause", "ended"]) this.video.removeEventListener(name, this.#say);
    this.#waiting?.();
  }

  readonly #say = (): void => this.watcher.running?.(this.playing);

  #halt(): void {
    this.#act += 1;
    this.video.pause();
    if (!this.#looping) return;
    this.#looping = false;
    this.#say();
  }

  async #reach(index: number): Promise<void> {
    this.#wanted = index;
    this.watcher.aimed?.(index);
    if (this.#seeking) return;
    this.#seeking = true;
    this.#slow = setTimeout(() => this.watcher.busy?.(true), SLOW_AFTER_MS);
    try {
      while (this.#wanted !== null && !this.#closed) {
        const frame: number = this.#wanted;
        if (!(await this.#seek(frame))) continue;
        if (this.#wanted === frame) this.#wanted = null;
        this.#shown = frame;
        this.watcher.shown(frame);
      }
    } finally {
      this.#seeking = false;
      clearTimeout(this.#slow);
      this.watcher.busy?.(false);
    }
  }

  /** Bring `frame` onto the screen. False when it was given up for a newer one. */
  async #seek(frame: number): Promise<boolean> {
    for (let round = 0; !this.#closed; round += 1) {
      // A picture that stands already is not presented again. Where that was missed, go by its neighbour.
      if (round % 2 === 1) await this.#move(frame === 0 ? Math.min(1, this.times.length - 1) : frame - 1);
      const stood = this.#presented === frame;
      await this.#move(frame);
      // What was presented before the seek may be old news: two turns of the screen bring the newest.
      if (stood || !this.#tells) await twoTurns();
      if (!this.#tells || (await this.#presents(frame))) return true;
      if (this.#wanted !== frame) return false;
      await pageSeen();
    }
    return false;
  }

  async #move(frame: number): Promise<void> {
    const seeked = new Promise<void>((resolve) => this.video.addEventListener("seeked", () => resolve(), { once: true }));
    this.video.currentTime = seekTarget(this.times, frame);
    await seeked;
  }

  /** Whether `frame` comes onto the screen in time. A hidden page presents nothing, and is asked again. */
  async #presents(frame: number): Promise<boolean> {
    const until = performance.now() + ASK_AGAIN_MS;
    while (this.#presented !== frame && !this.#closed) {
      const left = until - performance.now();
      if (left <= 0) return false;
      await new Promise<void>((resolve) => {
        const timer = setTimeout(resolve, left);
        this.#waiting = () => {
          clearTimeout(timer);
          resolve();
        };
      });
      this.#waiting = null;
    }
    return this.#presented === frame;
  }

  get #tells(): boolean {
    return "requestVideoFrameCallback" in this.video;
  }

  /** Hear of every picture that the browser presents. */
  #listen(): void {
    this.#callback = this.video.requestVideoFrameCallback((_, { mediaTime }) => {
      if (this.#closed) return;
      const frame = frameAt(this.times, mediaTime);
      this.#presented = frame;
      this.#waiting?.();
      if (!this.#seeking && !this.video.paused) {
        this.#shown = frame;
        this.watcher.shown(frame);
      }
      this.#listen();
    });
  }
}
