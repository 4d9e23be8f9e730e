import { expect, test } from "vitest";
import type { Checkpoint, Clip, Reading, Review, Xy } from "../../api/types";
import { rowInHand, rowKey, rowsOf, type Row, type Spot } from "./rows";

const define = (id: Checkpoint["id"], points: Checkpoint["points"], more: Partial<Checkpoint> = {}): Checkpoint => ({
  id,
  name: id,
  meaning: "",
  views: ["face-on"],
  keyframe: "lead_arm_parallel",
  moment: "",
  main: false,
  unit: "deg",
  points,
  bands: null,
  bands_source: "",
  ...more,
});

const ANGLE = define("lead_arm_shaft_angle", ["lead_shoulder", "lead_wrist", "butt", "clubhead"], { main: true });
const ELBOW = define("lead_elbow_bend", ["lead_shoulder", "lead_elbow", "lead_wrist"]);
const TEMPO = define("tempo_ratio", [], { unit: "ratio", views: ["face-on", "down-the-line"] });
const EARLY = define("clubhead_inside_early", ["clubhead", "lead_wrist", "trail_wrist"], { moment: "Shaft level" });
const PITCH = define("shaft_pitch", ["butt", "clubhead"], { views: ["down-the-line"] });
const CHECKPOINTS = [ANGLE, ELBOW, TEMPO, EARLY, PITCH];

const PLACES: Record<string, Xy> = {
  lead_shoulder: [500, 300],
  lead_elbow: [400, 310],
  lead_wrist: [300, 300],
  trail_wrist: [305, 305],
  butt: [300, 300],
  clubhead: [300, 20],
};

const read = (checkpoint: Checkpoint, more: Partial<Reading> = {}): Reading => ({
  clip_id: "c",
  swing: 0,
  checkpoint: checkpoint.id,
  source: "machine",
  value: 20,
  sigma: 2,
  low: 16,
  high: 24,
  unit: checkpoint.unit,
  band: "no_target",
  missing: null,
  frame: 93,
  points: Object.fromEntries(checkpoint.points.map((name) => [name, PLACES[name] as Xy])),
  inputs: Object.fromEntries(
    [...checkpoint.points.map((name) => `sigma_px_${name}`), "sigma_instant", "sigma_view", "sigma_residual"].map((name) => [name, 1]),
  ),
  adjusted: null,
  own_bands: null,
  ...more,
});

const clip = { id: "c", view: "face-on", measurement: { clip: { width: 1000 }, swings: [{ keyframes: {}, checkpoints: {} }] } } as unknown as Clip;
const review = (readings: Reading[]): Review =>
  ({ readings, submission: { handed: "right", clips: [clip] }, draft: { marks: [], points: [] } }) as unknown as Review;
const SPOT: Spot = { clipId: "c", swing: 0, frame: 93, tracked: {} };
const rows = (moving: Record<string, Xy | null> = {}, spot: Spot = SPOT): Row[] =>
  rowsOf(review(CHECKPOINTS.map((one) => read(one))), CHECKPOINTS, moving, spot);
const rowOf = (all: Row[], checkpoint: Checkpoint): Row => {
  const found = all.find((one) => one.checkpoint === checkpoint);
  if (found === undefined) throw new Error(`no row of ${checkpoint.id}`);
  return found;
};

test("a clip has the numbers that its view can show, those of both views too", () => {
  expect(rows().map((row) => row.checkpoint.id)).toEqual([
    "lead_arm_shaft_angle",
    "lead_elbow_bend",
    "tempo_ratio",
    "clubhead_inside_early",
  ]);
});

test("the points of one number only are on the picture: the one taken in hand, else the main one", () => {
  const all = rows();
  expect(rowInHand(all, null)?.checkpoint).toBe(ANGLE);
  expect(rowInHand(all, rowKey(rowOf(all, ELBOW)))?.checkpoint).toBe(ELBOW);
  expect(rowInHand(all, "another clip's")?.checkpoint).toBe(ANGLE);
});

test("a number without points is never on the picture, nor one of another frame", () => {
  const all = rows();
  expect(rowInHand(all, rowKey(rowOf(all, TEMPO)))?.checkpoint).toBe(ANGLE);
  const elsewhere = rows({}, { ...SPOT, frame: 12 });
  expect(rowInHand(elsewhere, rowKey(rowOf(elsewhere, ELBOW)))).toBeUndefined();
});

test("points are moved where a keyframe names the frame, and only there", () => {
  expect(rows().map((row) => [row.checkpoint.id, row.movable])).toEqual([
    ["lead_arm_shaft_angle", true],
    ["lead_elbow_bend", true],
    ["tempo_ratio", false],
    ["clubhead_inside_early", false],
  ]);
});

test("a point on the move changes the numbers that are read from it and leaves the others alone", () => {
  const all = rows({ "c/0/lead_arm_parallel/lead_elbow": [400, 340] });
  expect(rowOf(all, ELBOW).live.value).not.toBe(20);
  expect(rowOf(all, ANGLE).live).toBe(rowOf(all, ANGLE).reading);
  const shared = rows({ "c/0/lead_arm_parallel/clubhead": [330, 20] });
  expect(rowOf(shared, ANGLE).live.value).not.toBe(20);
  expect(rowOf(shared, EARLY).live.value).toBe(20);
});

test("a number is judged by the student's own target where there is one, while a point moves too", () => {
  const own = { id: "b", club: null, watch_low: 60, good_low: 62, good_high: 80, watch_high: 82, reason: "", set_by: "Rosa" };
  const usual = { watch_low: 0, good_low: 10, good_high: 40, watch_high: 50 };
  const angle = { ...ANGLE, bands: usual };
  const given = read(angle, { value: 70, low: 69, high: 71, own_bands: own });
  const at = (moving: Record<string, Xy | null>): Row => rowOf2(rowsOf(review([given]), [angle], moving, SPOT));
  expect(at({}).checkpoint.bands).toEqual({ watch_low: 60, good_low: 62, good_high: 80, watch_high: 82 });
  // The club leans to 70 degrees from the arm: off the usual target, on the student's own.
  const lean = (70 * Math.PI) / 180;
  const clubhead: Xy = [300 + 280 * Math.cos(lean), 300 - 280 * Math.sin(lean)];
  const moved = at({ "c/0/lead_arm_parallel/clubhead": clubhead });
  expect(moved.live.value).toBeCloseTo(70, 1);
  expect(moved.live.band).toBe("good");
});

function rowOf2(all: Row[]): Row {
  const [only] = all;
  if (only === undefined) throw new Error("no row");
  return only;
}
