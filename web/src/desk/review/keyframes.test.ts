import { expect, test } from "vitest";
import type { Measurement } from "../../api/types";
import { keyframesNow, marksNow } from "./keyframes";

const measurement = {
  swings: [
    {
      keyframes: {
        address: { time_s: 0.5, sigma_s: 0.02, frame: 30 },
        top: { missing: "The clip ends too soon." },
      },
      checkpoints: {},
      findings: [],
    },
  ],
} as unknown as Measurement;

test("the coach's keyframe rules, the machine's stays known", () => {
  const marks = [{ clip_id: "c", swing: 0, keyframe: "address" as const, frame: 32, time_s: 0.533 }];
  const address = keyframesNow(measurement, 0, marks).find((item) => item.id === "address");
  expect(address).toEqual({
    id: "address",
    frame: 32,
    timeS: 0.533,
    sigmaS: null,
    machineFrame: 30,
    moved: true,
    missing: null,
  });
});

test("what was not found is shown with its reason, in the order of a swing", () => {
  const now = keyframesNow(measurement, 0, []);
  expect(now.map((item) => item.id)).toEqual(["address", "takeaway", "lead_arm_parallel", "top", "impact"]);
  expect(now.find((item) => item.id === "top")?.missing).toBe("The clip ends too soon.");
});

test("a clip that could not be measured can still be marked by hand", () => {
  const marks = [{ clip_id: "c", swing: 0, keyframe: "finish" as const, frame: 90, time_s: 1.5 }];
  const now = keyframesNow(null, 0, marks);
  expect(now.at(-1)).toMatchObject({ id: "finish", frame: 90, moved: true });
});

test("a mark on its way counts at once, and one that is being taken away does not", () => {
  const mark = (keyframe: "address" | "top", frame: number) => ({ clip_id: "c", swing: 0, keyframe, frame, time_s: frame / 60 });
  const times = Array.from({ length: 100 }, (_, index) => index / 60);
  const stored = [mark("address", 32), { ...mark("top", 70), swing: 1 }];
  expect(marksNow(stored, {}, "c", 0, times)).toEqual([mark("address", 32)]);
  expect(marksNow(stored, { "c/0/address": 34, "c/0/top": 61 }, "c", 0, times)).toEqual([mark("address", 34), mark("top", 61)]);
  expect(marksNow(stored, { "c/0/address": null }, "c", 0, times)).toEqual([]);
});
