import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { followQueue, LOOK_AGAIN_MS } from "./live";

class Source {
  static all: Source[] = [];
  static CLOSED = 2;
  readyState = 1;
  closed = false;
  onerror: () => void = () => undefined;
  heard = new Map<string, (event: { data: string }) => void>();
  constructor(readonly url: string) {
    Source.all.push(this);
  }
  addEventListener(name: string, hear: (event: { data: string }) => void): void {
    this.heard.set(name, hear);
  }
  close(): void {
    this.closed = true;
  }
  tell(name: string, data: unknown): void {
    this.heard.get(name)?.({ data: JSON.stringify(data) });
  }
}

const follower = { onLook: vi.fn(), onChange: vi.fn(), onLive: vi.fn() };
let end: () => void = () => undefined;

beforeEach(() => {
  vi.useFakeTimers();
  vi.clearAllMocks();
  Source.all = [];
  vi.stubGlobal("EventSource", Source);
  end = followQueue(follower);
});

afterEach(() => {
  end();
  vi.useRealTimers();
  vi.unstubAllGlobals();
});

const source = (): Source => Source.all.at(-1) as Source;

test("a stream that listens tells what changed, and nothing is looked at meanwhile", () => {
  source().tell("here", {});
  source().tell("changed", { ids: ["a"] });
  source().tell("changed", { ids: null });
  expect(follower.onChange.mock.calls).toEqual([[["a"]], [null]]);
  vi.advanceTimersByTime(3 * LOOK_AGAIN_MS);
  expect(follower.onLook).toHaveBeenCalledTimes(1);
});

test("while a stream is gone the queue is looked at every so often; back again, at once", () => {
  source().tell("here", {});
  source().readyState = 0;
  source().onerror();
  expect(follower.onLive).toHaveBeenLastCalledWith(false);
  vi.advanceTimersByTime(2 * LOOK_AGAIN_MS);
  expect(follower.onLook).toHaveBeenCalledTimes(3);
  source().tell("here", {});
  expect(follower.onLook).toHaveBeenCalledTimes(4);
  expect(follower.onLive).toHaveBeenLastCalledWith(true);
  expect(Source.all).toHaveLength(1);
});

test("one that was refused is asked for again after a minute", () => {
  source().readyState = Source.CLOSED;
  source().onerror();
  vi.advanceTimersByTime(59_000);
  expect(Source.all).toHaveLength(1);
  vi.advanceTimersByTime(2_000);
  expect(Source.all).toHaveLength(2);
});

test("it ends with the page", () => {
  end();
  expect(source().closed).toBe(true);
  vi.advanceTimersByTime(5 * LOOK_AGAIN_MS);
  expect(follower.onLook).not.toHaveBeenCalled();
});
