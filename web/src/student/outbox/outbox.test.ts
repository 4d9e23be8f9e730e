import "fake-indexeddb/auto";
import { beforeEach, expect, test, vi } from "vitest";
import type { NewSubmission } from "../../api/types";
import * as cupboard from "./cupboard";
import type { Hooks, Sending } from "./send";

/** Uploads on their way, each with its hooks and a way to end it. */
interface Way extends Hooks {
  submission: string;
  name: string;
  arrive: () => void;
  stopped: boolean;
}

const ways: Way[] = [];
const withdrawn: string[] = [];
const form = { club_id: null, purpose: "full", with_ball: true, handed: "right", note: "", student_id: "m" } as unknown as NewSubmission;
let made = 0;

vi.mock("../../api/calls", () => ({
  createSubmission: () => Promise.resolve({ id: `s${(made += 1)}` }),
  withdraw: (id: string) => Promise.resolve(withdrawn.push(id)),
}));
vi.mock("./send", () => ({
  dropUpload: () => Promise.resolve(),
  sendFile: (submission: string, file: { name: string }, _blob: File, hooks: Hooks): Sending => {
    const way = { ...hooks, submission, name: file.name, arrive: () => undefined, stopped: false } as Way;
    ways.push(way);
    return { done: new Promise<void>((resolve) => (way.arrive = resolve)), stop: () => void (way.stopped = true) };
  },
}));

type Outbox = (typeof import("./outbox.svelte"))["outbox"];

/** The outbox of a page that was just opened: what an earlier one kept is in the browser's database. */
async function opened(owner = "m"): Promise<Outbox> {
  vi.resetModules();
  const { outbox } = await import("./outbox.svelte");
  await outbox.open(owner);
  return outbox;
}

const clip = (name: string): File => new File(["swing"], name, { lastModified: 1, type: "video/mp4" });
const send = (outbox: Outbox, name: string) => outbox.add(form, [{ view: "face-on", file: clip(name) }]);
const onItsWay = (name: string): Promise<Way> =>
  vi.waitFor(() => {
    const way = ways.findLast((one) => one.name === name && !one.stopped);
    if (way === undefined) throw new Error(`${name} is not being sent`);
    return way;
  });

beforeEach(async () => {
  ways.length = 0;
  withdrawn.length = 0;
  await new Promise((resolve) => (indexedDB.deleteDatabase("fairlead-outbox").onsuccess = resolve));
});

test("what is given up while it is being sent does not hold up the next clip", async () => {
  const outbox = await opened();
  const persist = vi.fn(() => Promise.resolve(true));
  vi.stubGlobal("navigator", Object.assign(Object.create(navigator) as Navigator, { storage: { persist } }));
  await send(outbox, "wrong.mp4");
  vi.unstubAllGlobals();
  expect(persist).toHaveBeenCalledOnce();
  const wrong = await onItsWay("wrong.mp4");
  await outbox.cancel(outbox.entries[0]!);
  expect(wrong.stopped).toBe(true);
  expect(withdrawn).toEqual([wrong.submission]);
  await send(outbox, "right.mp4");
  (await onItsWay("right.mp4")).arrive();
  await vi.waitFor(() => expect(outbox.entries).toEqual([]));
});

test("a take for which there is no room in the outbox stays where takes are kept until it has arrived", async () => {
  const file = clip("take.mp4");
  let takes = [{ id: "t", file }];
  const forgetTakes = (ids: string[]) => Promise.resolve((takes = takes.filter((one) => !ids.includes(one.id))));
  vi.doMock("../filming/takes", () => ({ readTakes: () => Promise.resolve(takes), forgetTakes }));
  const full = vi.fn(() => Promise.reject(new DOMException("full", "QuotaExceededError")));
  vi.doMock("./cupboard", () => ({ ...cupboard, writeFile: full }));
  try {
    const page = await opened();
    await page.add(form, [{ view: "face-on", file, takeId: "t" }]);
    await onItsWay("take.mp4");
    expect(full).toHaveBeenCalledOnce();
    expect([page.unkept, takes.length]).toEqual([{}, 1]);
    ways.length = 0; // the page is closed, and what it had in memory is gone
    const next = await opened();
    (await onItsWay("take.mp4")).arrive();
    await vi.waitFor(() => expect(next.entries).toEqual([]));
    await vi.waitFor(() => expect(takes).toEqual([]));

    // A file of the library has no other place here: the page has to stay.
    await send(next, "library.mp4");
    expect(next.unkept).toEqual({ [next.entries[0]!.id]: true });
  } finally {
    vi.doUnmock("./cupboard");
    vi.doUnmock("../filming/takes");
  }
});

/** Web Locks of one browser, as far as the outbox uses them: jsdom has none. */
function locks(): Pick<LockManager, "request"> & { close: () => void } {
  interface Held {
    act: () => Promise<unknown>;
    reject: (error: Error) => void;
  }
  let holder: Held | null = null;
  const queue: Held[] = [];
  const next = (held: Held | undefined): void => {
    holder = held ?? null;
    void held?.act();
  };
  return {
    close: () => next(queue.shift()),
    request: ((_name: string, how: LockOptions, act: () => Promise<unknown>) =>
      new Promise((_resolve, reject) => {
        const asked = { act, reject };
        if (how.steal) {
          holder?.reject(new DOMException("stolen", "AbortError"));
          next(asked);
        } else if (holder) queue.push(asked);
        else next(asked);
      })) as unknown as LockManager["request"],
  };
}

test("of two tabs the one in hand sends, and the other goes on when that is closed", async () => {
  const browser = locks();
  vi.stubGlobal("navigator", Object.assign(Object.create(navigator) as Navigator, { locks: browser }));
  try {
    const older = await opened();
    await send(older, "first.mp4");
    const first = await onItsWay("first.mp4");
    const newer = await opened();
    expect(first.stopped).toBe(true);
    expect(older.going[older.entries[0]!.id]).toEqual({ kind: "elsewhere" });
    (await onItsWay("first.mp4")).arrive();
    await vi.waitFor(() => expect(newer.entries).toEqual([]));

    await send(newer, "second.mp4");
    await onItsWay("second.mp4");
    ways.length = 0; // its page is closed
    browser.close();
    (await onItsWay("second.mp4")).arrive();
    await vi.waitFor(() => expect(older.entries).toEqual([]));
    expect(older.sent).toBe(2); // the first arrived elsewhere
    expect(made).toBeGreaterThan(0);
  } finally {
    vi.unstubAllGlobals();
  }
});
