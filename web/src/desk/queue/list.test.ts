import { beforeEach, expect, test, vi } from "vitest";
import * as calls from "../../api/calls";
import { Problem } from "../../api/problem";
import type { Queue, QueueItem } from "../../api/types";
import { NO_FILTERS } from "./filters";
import { QueueList } from "./list.svelte";

vi.mock("../../api/calls");

const ME = "rosa";
const item = (id: string, hour: number, more: Partial<QueueItem> = {}): QueueItem =>
  ({
    id,
    student_name: `Student ${id}`,
    correcting: false,
    due_at: `2026-11-29T${String(hour).padStart(2, "0")}:00:00Z`,
    state: "waiting",
    claimed_by: null,
    lapsed_from: null,
    ...more,
  }) as QueueItem;

const page = (items: QueueItem[], next_cursor: string | null = null): Queue => ({
  items,
  next_cursor,
  counts: { waiting: items.length },
  found: items.length,
  late: 0,
});

/** The server: what each queue holds, and what was asked of it. */
let queues: Record<string, QueueItem[]>;

beforeEach(() => {
  vi.resetAllMocks();
  queues = { waiting: [item("a", 10), item("c", 12)], mine: [], claimed: [], answered: [] };
  vi.mocked(calls.queue).mockImplementation((asked, part = {}) => {
    const all = queues[asked.state] ?? [];
    return Promise.resolve(page(part.only ? all.filter((one) => part.only?.includes(one.id)) : all));
  });
});

const opened = async (): Promise<QueueList> => {
  const list = new QueueList(ME);
  await list.open({ state: "waiting", filters: NO_FILTERS });
  return list;
};
const shown = (list: QueueList): string[] => list.items.map((one) => one.id);

test("a change is asked for by its id, put into its place and said", async () => {
  const list = await opened();
  queues["waiting"] = [item("b", 11), item("c", 12)];
  await list.changed(["a", "b"]);
  expect(shown(list)).toEqual(["b", "c"]);
  expect(list.said).toBe("Student b came in. Student a is no longer in this list.");
  expect(vi.mocked(calls.queue)).toHaveBeenCalledWith(list.asked, { only: ["a", "b"], limit: 200 });
});

test("changes that come while one is followed are gathered into one question", async () => {
  const list = await opened();
  vi.mocked(calls.queue).mockClear();
  await Promise.all([list.changed(["a"]), list.changed(["b"]), list.changed(["c"])]);
  const asked = vi.mocked(calls.queue).mock.calls.map(([, part]) => part?.only).filter(Boolean);
  expect(asked).toEqual([["a"], ["b", "c"]]);
});

test("more changes than can be told are a look at everything that is loaded", async () => {
  const list = await opened();
  queues["waiting"] = [item("z", 9)];
  await list.changed(null);
  expect(shown(list)).toEqual(["z"]);
});

test("an answer to an older question is dropped", async () => {
  const list = await opened();
  let late: (queue: Queue) => void = () => undefined;
  vi.mocked(calls.queue).mockImplementationOnce(() => new Promise((resolve) => (late = resolve)));
  const first = list.open({ state: "waiting", filters: { ...NO_FILTERS, search: "a" } });
  queues["answered"] = [item("x", 1, { state: "answered" })];
  await list.open({ state: "answered", filters: NO_FILTERS });
  late(page([item("old", 1)]));
  await first;
  expect(shown(list)).toEqual(["x"]);
});

const HELD = item("h", 13, { state: "claimed", claimed_by: { id: ME, name: "Rosa" } });

test("a claim that ran out is told once, with who has it since", async () => {
  queues["mine"] = [HELD];
  const list = await opened();
  queues["mine"] = [];
  queues["waiting"] = [item("h", 13, { lapsed_from: { id: ME, name: "Rosa" } })];
  await list.changed(["h"]);
  expect(list.lapses).toEqual([{ id: "h", name: "Student h", taker: null }]);
  list.dismiss("h");
  await list.changed(["h"]);
  expect(list.lapses).toEqual([]);
});

test("taken by another after it ran out says by whom", async () => {
  queues["mine"] = [HELD];
  const list = await opened();
  queues["mine"] = [];
  queues["claimed"] = [item("h", 13, { state: "claimed", claimed_by: { id: "bram", name: "Bram" } })];
  await list.changed(["h"]);
  expect(list.lapses).toEqual([{ id: "h", name: "Student h", taker: "Bram" }]);
});

test("handed back, here or in another tab, or answered, is no lapse", async () => {
  queues["mine"] = [HELD, { ...HELD, id: "i" }];
  const list = await opened();
  queues["mine"] = [{ ...HELD, id: "i" }];
  queues["waiting"] = [item("h", 13, { lapsed_from: null })];
  await list.handBack("h");
  expect(calls.release).toHaveBeenCalledWith("h");
  queues["mine"] = [];
  await list.changed(["i"]);
  expect(list.lapses).toEqual([]);
});

test("when nothing that fits the filters waits, that is what is said", async () => {
  const list = await opened();
  await list.open({ state: "waiting", filters: { ...NO_FILTERS, club: "Driver" } });
  vi.mocked(calls.claimNext).mockRejectedValue(new Problem(404, "nothing_waiting", "Nothing is waiting. Well done."));
  expect(await list.takeNext()).toBeNull();
  expect(calls.claimNext).toHaveBeenCalledWith(list.asked.filters);
  expect(list.trouble).toBe("Nothing that fits the filters is waiting.");
});
