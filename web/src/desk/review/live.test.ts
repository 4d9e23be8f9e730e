import { expect, test } from "vitest";
import type { Checkpoint, Reading, Xy } from "../../api/types";
import { liveReading, pointsNow, startingFrom } from "./live";

const checkpoint: Checkpoint = {
  id: "lead_arm_shaft_angle",
  name: "Lead arm to shaft angle",
  meaning: "",
  views: ["face-on"],
  keyframe: "lead_arm_parallel",
  moment: "",
  main: true,
  unit: "deg",
  points: ["lead_shoulder", "lead_wrist", "butt", "clubhead"],
  bands: { watch_low: 70, good_low: 80, good_high: 100, watch_high: 112 },
  bands_source: "",
};

const reading: Reading = {
  clip_id: "c",
  swing: 0,
  checkpoint: "lead_arm_shaft_angle",
  source: "machine",
  value: 90,
  sigma: 3,
  low: 84.1,
  high: 95.9,
  unit: "deg",
  band: "good",
  missing: null,
  frame: 93,
  points: { lead_shoulder: [500, 300], lead_wrist: [300, 300], butt: [300, 300], clubhead: [300, 20] },
  inputs: {
    sigma_px_lead_shoulder: 2,
    sigma_px_lead_wrist: 2,
    sigma_px_butt: 2,
    sigma_px_clubhead: 2,
    sigma_instant: 1,
    sigma_view: 1,
    sigma_residual: 1,
  },
  adjusted: null,
  own_bands: null,
};

test("nothing moved: the server's reading stands", () => {
  expect(liveReading(checkpoint, reading, [], {}, "right", 1000)).toBe(reading);
});

test("the clubhead of the second exact vector reads 100 degrees, with a hand-placed point's spread", () => {
  const live = liveReading(checkpoint, reading, [], { clubhead: [251.379, 24.254] }, "right", 1000);
  expect(live.value).toBeCloseTo(100, 3);
  expect(live.sigma).toBeCloseTo(Math.hypot(2.6, 1, 1, 1), 6);
  expect(live.band).toBe("too_close");
});

test("once every point is the coach's, the machine's own habit of erring no longer counts", () => {
  const placed = (["lead_shoulder", "lead_wrist", "butt"] as const).map((point) => {
    const [x, y] = reading.points[point] as Xy;
    return { clip_id: "c", swing: 0, keyframe: "lead_arm_parallel" as const, frame: 93, point, x, y };
  });
  const live = liveReading(checkpoint, reading, placed, { clubhead: [300, 21] }, "right", 1000);
  expect(live.sigma).toBeCloseTo(Math.hypot(2.6, 1, 1), 6);
});

test("a point moved onto another gives no number but a reason", () => {
  const live = liveReading(checkpoint, reading, [], { clubhead: [301, 300] }, "right", 1000);
  expect(live.value).toBeNull();
  expect(live.missing).toMatch(/same spot/);
});

test("a point going back to the machine's is there at once, and its number with it", () => {
  const coach: Reading = { ...reading, source: "coach", value: 100, points: { ...reading.points, clubhead: [251.379, 24.254] } };
  const placed = [{ clip_id: "c", swing: 0, keyframe: "lead_arm_parallel" as const, frame: 93, point: "clubhead" as const, x: 251.379, y: 24.254 }];
  const machine = reading.points;
  expect(pointsNow(coach, { clubhead: null }, machine)).toEqual(reading.points);
  expect(liveReading(checkpoint, coach, placed, { clubhead: null }, "right", 1000, machine).value).toBeCloseTo(90, 6);
});

test("one that the machine never had is gone at once; what it has is not known before its tracks are there", () => {
  const { clubhead, ...others } = reading.points;
  expect(clubhead).toBeDefined();
  expect(pointsNow(reading, { clubhead: null }, others)).toEqual(others);
  expect(pointsNow(reading, { clubhead: null })).toEqual(reading.points);
  expect(liveReading(checkpoint, reading, [], { clubhead: null }, "right", 1000)).toBe(reading);
});

test("where the machine gave no number, its tracked points and the known error are the start", () => {
  const none: Reading = { ...reading, value: null, sigma: null, low: null, high: null, band: null, points: {}, inputs: {} };
  const start = startingFrom(checkpoint, none, { lead_shoulder: [500, 300, 3], lead_wrist: [300, 300, 3], ball: [1, 2, 3] });
  expect(start.points).toEqual({ lead_shoulder: [500, 300], lead_wrist: [300, 300] });
  const live = liveReading(checkpoint, start, [], { butt: [300, 300], clubhead: [300, 20] }, "right", 1000);
  expect(live.value).toBeCloseTo(90, 9);
  expect(live.sigma).toBeCloseTo(Math.hypot(2.6, 2.4, 3.1), 6);
});

test("a reading with a number, or a coach's, starts from itself", () => {
  expect(startingFrom(checkpoint, reading, { butt: [1, 2, 3] })).toBe(reading);
  const coach: Reading = { ...reading, source: "coach", value: null };
  expect(startingFrom(checkpoint, coach, { butt: [1, 2, 3] })).toBe(coach);
});
