import { beforeEach, expect, test, vi } from "vitest";
import * as calls from "../../api/calls";
import type { Limits, Review } from "../../api/types";
import { ReviewDesk } from "./desk.svelte";

vi.mock("../../api/calls");

const LIMITS: Limits = { watch_low: 78, good_low: 85, good_high: 95, watch_high: 105 };

const reviewAt = (version: number): Review =>
  ({
    id: "r",
    kind: "main",
    state: "claimed",
    version,
    submission: { student: { id: "mira", name: "Mira", language: "en-GB" }, club: { name: "7 iron", length_m: 0.94 } },
    draft: { text: "", later: [], judgements: [], by_eye: [], drawings: [], drills: [], what_changed: "", marks: [], points: [] },
    readings: [],
  }) as unknown as Review;

const serves = (...versions: number[]): void => {
  for (const version of versions) vi.mocked(calls.review).mockResolvedValueOnce({ data: reviewAt(version), etag: `"${version}"` });
};

beforeEach(() => {
  vi.resetAllMocks();
  localStorage.clear();
});

test("a target that was set counts as one change, and the draft goes on from there", async () => {
  serves(3, 4);
  vi.mocked(calls.patchDraft).mockResolvedValue({ data: reviewAt(5), etag: '"5"' });
  const desk = new ReviewDesk("r");
  await desk.load();
  await desk.targets!.set("lead_arm_shaft_angle", "7 iron", LIMITS, "Stiff.");
  expect(calls.setTarget).toHaveBeenCalledWith(
    "mira",
    { checkpoint: "lead_arm_shaft_angle", club: "7 iron", reason: "Stiff.", ...LIMITS },
    expect.any(String),
  );
  expect([desk.stale, desk.review?.version]).toEqual([false, 4]);
  desk.text = "Stop and look.";
  desk.wrote();
  await desk.flush();
  expect(vi.mocked(calls.patchDraft).mock.calls[0]?.[2]).toBe('"4"');
});

test("a change that came between from elsewhere is noticed and not taken over", async () => {
  serves(3, 5);
  const desk = new ReviewDesk("r");
  await desk.load();
  await desk.targets!.drop("b");
  expect([desk.stale, desk.review?.version]).toEqual([true, 3]);
});

test("a refusal reaches the form and leaves the line open", async () => {
  serves(3, 4);
  vi.mocked(calls.setTarget).mockRejectedValueOnce(new Error("The target has no width."));
  const desk = new ReviewDesk("r");
  await desk.load();
  await expect(desk.targets!.set("lead_arm_shaft_angle", null, LIMITS, "")).rejects.toThrow("no width");
  await desk.targets!.drop("b");
  expect([desk.stale, desk.review?.version]).toEqual([false, 4]);
});
