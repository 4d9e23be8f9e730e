import { expect, test } from "vitest";
import type { Answer, Checkpoint, Clip, Reading, Submission } from "../api/types";
import { picturesOf } from "./pictures";

const checkpoint = (id: Checkpoint["id"], main: boolean, unit: Checkpoint["unit"]): Checkpoint => ({
  id,
  name: id,
  meaning: "",
  views: ["face-on"],
  keyframe: "lead_arm_parallel",
  moment: "",
  main,
  unit,
  points: [],
  bands: null,
  bands_source: "",
});
const checkpoints = [checkpoint("lead_elbow_bend", false, "deg"), checkpoint("lead_arm_shaft_angle", true, "deg")];

const reading = (id: string, value: number): Reading => ({
  clip_id: "c",
  swing: 0,
  checkpoint: id as Reading["checkpoint"],
  source: "coach",
  value,
  sigma: 3,
  low: value - 6,
  high: value + 6,
  unit: "deg",
  band: "good",
  missing: null,
  frame: 93,
  points: { lead_wrist: [300, 300] },
  inputs: {},
  adjusted: null,
  own_bands: null,
});

const clip = { id: "c", view: "face-on", measurement: { clip: { width: 720, height: 1280 } } } as unknown as Clip;
const submission = { clips: [clip] } as unknown as Submission;
const answer = (readings: Reading[]): Answer =>
  ({
    readings,
    drawings: [],
    pictures: [{ clip_id: "c", swing: 0, keyframe: "lead_arm_parallel", frame: 93, url: "/still", lines_drawn: false, off_moment: false }],
  }) as unknown as Answer;

test("a picture carries the lines of its main number, whatever else was read there", () => {
  const [picture] = picturesOf(answer([reading("lead_elbow_bend", 8), reading("lead_arm_shaft_angle", 90)]), submission, checkpoints);
  expect(picture).toMatchObject({ kind: "drawn", measured: true });
  expect(picture?.alt).toBe("Your swing at lead arm parallel, with lines through lead wrist: 90.0°.");
});

test("numbers beside the main ones draw nothing and make no picture a measured one", () => {
  const [picture] = picturesOf(answer([reading("lead_elbow_bend", 8)]), submission, checkpoints);
  expect(picture).toMatchObject({ kind: "plain", measured: false, alt: "Your swing at lead arm parallel." });
});

test("what the coach drew lies over the picture of its frame and of no other, and is told in words", () => {
  const drawn = { id: "a", clip_id: "c", swing: 0, keyframe: "lead_arm_parallel", frame: 93, shape: "label", stroke: "full", places: [[10, 10]], label: "Keep" };
  const given = { ...answer([]), drawings: [drawn, { ...drawn, id: "b", frame: 94 }, { ...drawn, id: "c", clip_id: "d" }] } as unknown as Answer;
  const [picture] = picturesOf(given, submission, checkpoints);
  expect(picture).toMatchObject({ kind: "drawn", points: {}, drawnOn: true, measured: false, drawings: [{ id: "a" }] });
  expect(picture?.alt).toBe("Your swing at lead arm parallel. Your coach drew on it: the words “Keep” at the top left.");
});

test("a frame that its moment has left says so", () => {
  const given = answer([]);
  const [picture] = picturesOf({ ...given, pictures: given.pictures.map((one) => ({ ...one, off_moment: true })) }, submission, checkpoints);
  expect(picture).toMatchObject({ offMoment: true, alt: "Your swing near lead arm parallel." });
});
