import { clampFrame, frameAt, seekTarget } from "./seek";

const NO_CALLBACK_MS = 250;

/**
 * Shows exact frames of a proxy. A seek asked for while another is running replaces the one that
 * waits, so holding a key down never queues up work.
 */
export class FramePlayer {
  #wanted: number | null = null;
  #seeking = false;
  #watching = false;

  constructor(
    private readonly video: HTMLVideoElement,
    private readonly times: readonly number[],
    private readonly onShown: (frame: number) => void,
  ) {}

  get playing(): boolean {
    return !this.video.paused;
  }

  /** Stop, and show frame `index` (clamped to the clip). */
  async show(index: number): Promise<void> {
    this.video.pause();
    this.#wanted = clampFrame(this.times, index);
    if (this.#seeking) return;
    this.#seeking = true;
    try {
      while (this.#wanted !== null) {
        const frame: number = this.#wanted;
        this.#wanted = null;
        await this.#seek(frame);
        if (this.#wanted === null) this.onShown(frame);
      }
    } finally {
      this.#seeking = false;
    }
  }

  /** Run at `rate`, muted, telling each frame as it shows. */
  async play(rate: number): Promise<void> {
    this.video.playbackRate = rate;
    if (frameAt(this.times, this.video.currentTime) >= this.times.length - 1) await this.show(0);
    await this.video.play();
    this.#watch();
  }

  /** Stop on the frame that is on show. */
  async stop(): Promise<void> {
    this.video.pause();
    await this.show(frameAt(this.times, this.video.currentTime));
  }

  #watch(): void {
    if (this.#watching) return;
    this.#watching = true;
    const tell = (_: number, frame: VideoFrameCallbackMetadata): void => {
      if (this.video.paused) {
        this.#watching = false;
        return;
      }
      this.onShown(frameAt(this.times, frame.mediaTime));
      this.video.requestVideoFrameCallback(tell);
    };
    this.video.requestVideoFrameCallback(tell);
  }

  /** Seek, then wait until the frame is really on the screen. */
  async #seek(frame: number): Promise<void> {
    const onScreen = this.#frameOnScreen(frame);
    const seeked = new Promise<void>((resolve) => {
      this.video.addEventListener("seeked", () => resolve(), { once: true });
    });
    this.video.currentTime = seekTarget(this.times, frame);
    await seeked;
    await onScreen;
  }

  /**
   * Resolves when a frame inside `frame` was presented. Browsers do not always call back (the same
   * frame again, a hidden tab): then a quarter of a second after the seek is taken as the answer.
   */
  #frameOnScreen(frame: number): Promise<void> {
    if (!("requestVideoFrameCallback" in this.video)) return Promise.resolve();
    return new Promise((resolve) => {
      let handle = 0;
      const timer = setTimeout(() => {
        this.video.cancelVideoFrameCallback(handle);
        resolve();
      }, NO_CALLBACK_MS);
      const look = (_: number, shown: VideoFrameCallbackMetadata): void => {
        if (frameAt(this.times, shown.mediaTime) === frame) {
          clearTimeout(timer);
          resolve();
        } else handle = this.video.requestVideoFrameCallback(look);
      };
      handle = this.video.requestVideoFrameCallback(look);
    });
  }
}
