import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { FramePlayer } from "./player";
import { frameAt } from "./seek";

const TIMES = Array.from({ length: 60 }, (_, index) => index / 60);

/** A video that takes `slow_ms` to seek, and like a browser presents only a picture that differs from the one on show. */
class Video extends EventTarget {
  paused = true;
  playbackRate = 1;
  slow_ms = 20;
  onScreen = -1;
  sought: number[] = [];
  /** What it presents instead of the frame asked for, while there is something. */
  wrongly: number[] = [];
  #callbacks = new Map<number, (now: number, frame: { mediaTime: number }) => void>();
  #handle = 0;

  set currentTime(at: number) {
    const frame = this.wrongly.shift() ?? frameAt(TIMES, at);
    this.sought.push(frameAt(TIMES, at));
    setTimeout(() => {
      this.dispatchEvent(new Event("seeked"));
      if (frame === this.onScreen) return;
      this.onScreen = frame;
      const due = [...this.#callbacks.values()];
      this.#callbacks.clear();
      for (const call of due) call(0, { mediaTime: TIMES[frame] ?? 0 });
    }, this.slow_ms);
  }

  pause(): void {
    this.paused = true;
  }

  requestVideoFrameCallback(call: (now: number, frame: { mediaTime: number }) => void): number {
    this.#callbacks.set(++this.#handle, call);
    return this.#handle;
  }

  cancelVideoFrameCallback(handle: number): void {
    this.#callbacks.delete(handle);
  }
}

function opened(): { video: Video; player: FramePlayer; told: [frame: number, onScreen: number][]; busy: boolean[] } {
  const video = new Video();
  const told: [number, number][] = [];
  const busy: boolean[] = [];
  const player = new FramePlayer(video as unknown as HTMLVideoElement, TIMES, {
    shown: (frame) => told.push([frame, video.onScreen]),
    busy: (is) => busy.push(is),
  });
  return { video, player, told, busy };
}

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

test("a frame is told when its picture is there, and one that stands already is told again", async () => {
  const { player, told } = opened();
  for (const frame of [12, 12, 0, 59]) {
    void player.show(frame);
    await vi.advanceTimersByTimeAsync(200);
  }
  expect(told).toEqual([[12, 12], [12, 12], [0, 0], [59, 59]]);
});

test("a slow decode says that it is working after 300 ms, under the old number", async () => {
  const { video, player, told, busy } = opened();
  video.slow_ms = 350;
  void player.show(5);
  await vi.advanceTimersByTimeAsync(299);
  expect([busy, told]).toEqual([[], []]);
  await vi.advanceTimersByTimeAsync(10);
  expect([busy, told]).toEqual([[true], []]);
  await vi.advanceTimersByTimeAsync(400);
  expect([busy, told]).toEqual([[true, false], [[5, 5]]]);
});

test("another picture than the one asked for is never told as it: the frame is asked for again", async () => {
  const { video, player, told } = opened();
  video.wrongly = [8];
  void player.show(9);
  await vi.advanceTimersByTimeAsync(300);
  expect(told).toEqual([]);
  await vi.advanceTimersByTimeAsync(600);
  expect(told).toEqual([[9, 9]]);
});

test("a held key skips what it has passed, and every told frame is on the screen", async () => {
  const { player, told, video } = opened();
  for (let frame = 1; frame <= 30; frame += 1) {
    void player.show(player.aim + 1);
    await vi.advanceTimersByTimeAsync(7);
  }
  await vi.advanceTimersByTimeAsync(200);
  expect(told.at(-1)).toEqual([30, 30]);
  expect(video.sought.length).toBeLessThan(15);
  expect(told.every(([frame, onScreen]) => frame === onScreen)).toBe(true);
});

test("a loop never seeks outside its ends, and a step ends it", async () => {
  const { player, video } = opened();
  const going = player.loop({ from: 20, to: 24, rate: 0.25, there_and_back: true });
  await vi.advanceTimersByTimeAsync(3000);
  expect(new Set(video.sought)).toEqual(new Set([20, 21, 22, 23, 24]));
  expect(player.playing).toBe(true);
  void player.show(30);
  await vi.advanceTimersByTimeAsync(2000);
  await going;
  expect([player.playing, video.sought.at(-1)]).toEqual([false, 30]);
});
