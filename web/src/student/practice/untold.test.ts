import { beforeEach, describe, expect, it, vi } from "vitest";
import { Problem } from "../../api/problem";
import type { PractisedDay } from "../../api/types";
import { keep, read, tell } from "./untold";

const calls = vi.hoisted(() => ({ tick: vi.fn() }));
vi.mock("../../api/calls", () => calls);

const of = (sets_done: number, day = "2026-03-02"): PractisedDay => ({ day, sets_done, hurt: false, note: "" });
const problem = (status: number): Problem => new Problem(status, "x", "x");

beforeEach(() => {
  localStorage.clear();
  calls.tick.mockReset();
});

describe("ticks without a connection", () => {
  it("stay until they are told, the newest of a drill and day alone", async () => {
    keep("me", "a", of(1));
    keep("me", "a", of(2));
    calls.tick.mockRejectedValueOnce(problem(0));
    expect((await tell("me")).left).toBe(1);
    calls.tick.mockResolvedValueOnce({ today: "x" });
    const told = await tell("me");
    expect(told.left).toBe(0);
    expect(told.practice).toEqual({ today: "x" });
    expect(calls.tick).toHaveBeenLastCalledWith(
      { membership_id: "me", assignment_id: "a", day: "2026-03-02" },
      { sets_done: 2, hurt: false, note: "" },
    );
  });

  it("are told again when ticked once more on the way", async () => {
    keep("me", "a", of(1));
    calls.tick.mockImplementationOnce(async () => {
      keep("me", "a", of(2));
      return {};
    });
    expect((await tell("me")).left).toBe(1);
    expect(read("me")[0]?.told.sets_done).toBe(2);
  });

  it("are told one after another: the later never arrives before the earlier", async () => {
    const arrived: number[] = [];
    let slow: () => void = () => undefined;
    calls.tick.mockImplementationOnce(async (_of: unknown, told: PractisedDay) => {
      await new Promise<void>((resolve) => (slow = resolve));
      arrived.push(told.sets_done);
      return {};
    });
    calls.tick.mockImplementationOnce(async (_of: unknown, told: PractisedDay) => {
      arrived.push(told.sets_done);
      return {};
    });
    keep("me", "a", of(2));
    const first = tell("me");
    await vi.waitFor(() => expect(calls.tick).toHaveBeenCalledTimes(1));
    keep("me", "a", of(3));
    const second = tell("me");
    await Promise.resolve();
    expect(calls.tick).toHaveBeenCalledTimes(1);
    slow();
    await Promise.all([first, second]);
    expect(arrived).toEqual([2, 3]);
    expect(read("me")).toEqual([]);
  });

  it("are dropped when the drill was called back, and keep no other waiting", async () => {
    keep("me", "gone", of(1));
    keep("me", "a", of(1));
    calls.tick.mockRejectedValueOnce(problem(404)).mockResolvedValueOnce({});
    expect((await tell("me")).left).toBe(0);
    expect(calls.tick).toHaveBeenCalledTimes(2);
  });

  it("are their owner's alone on a shared phone", () => {
    keep("me", "a", of(1));
    keep("sister", "b", of(1));
    expect(read("me").map((one) => one.assignment_id)).toEqual(["a"]);
    expect(read("sister").map((one) => one.assignment_id)).toEqual(["b"]);
  });

  it("survive what is not theirs in the store", () => {
    localStorage.setItem("fairlead-untold-practice", "no list");
    expect(read("me")).toEqual([]);
  });
});
