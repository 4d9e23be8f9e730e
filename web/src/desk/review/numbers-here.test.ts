import { expect, test } from "vitest";
import type { Xy } from "../../api/types";
import { lineAt, nextHere, quietLines, quietPoints, readHere, vertexOf } from "./numbers-here";
import type { Row } from "./rows";

const AT: Record<string, Xy> = {
  lead_shoulder: [200, 100],
  trail_shoulder: [120, 110],
  lead_wrist: [320, 100],
  butt: [322, 102],
  clubhead: [300, 20],
  trail_hip: [130, 300],
  trail_knee: [120, 420],
  trail_ankle: [120, 540],
};

const number = (checkpoint: string, points: string[], more: Partial<Row> = {}): Row =>
  ({
    checkpoint: { id: checkpoint, name: checkpoint, points },
    reading: { clip_id: "c", swing: 0, checkpoint, points: Object.fromEntries(points.map((name) => [name, AT[name]])), inputs: {} },
    moving: {},
    here: true,
    ...more,
  }) as unknown as Row;

const ANGLE = number("angle", ["lead_shoulder", "lead_wrist", "butt", "clubhead"]);
const TILT = number("tilt", ["lead_shoulder", "trail_shoulder"]);
const KNEE = number("knee", ["trail_hip", "trail_knee", "trail_ankle"]);
const ELSEWHERE = number("later", ["trail_hip"], { here: false });
const TIMED = number("tempo", []);
const HERE = readHere([ANGLE, TILT, KNEE, ELSEWHERE, TIMED]);

test("all numbers of the frame that have points are there, and each is reached round and round", () => {
  expect(HERE).toEqual([ANGLE, TILT, KNEE]);
  expect(nextHere(HERE, ANGLE, 1)).toBe(TILT);
  expect(nextHere(HERE, KNEE, 1)).toBe(ANGLE);
  expect(nextHere(HERE, ANGLE, -1)).toBe(KNEE);
  expect([nextHere(HERE, undefined, 1), nextHere(HERE, undefined, -1)]).toEqual([ANGLE, KNEE]);
  expect(nextHere([], undefined, 1)).toBeUndefined();
});

test("what the number in hand has is not quiet; a point of several others names them all", () => {
  const quiet = quietPoints(HERE, TILT);
  expect(Object.keys(quiet).sort()).toEqual(["butt", "clubhead", "lead_wrist", "trail_ankle", "trail_hip", "trail_knee"]);
  const two = quietPoints([...HERE, number("bow", ["trail_knee"])], ANGLE);
  expect(two["trail_knee"]?.rows.map((row) => row.checkpoint.id)).toEqual(["knee", "bow"]);
  expect(two["lead_shoulder"]).toBeUndefined();
});

test("quiet lines are each number's own, none twice, none between points of two numbers, and they follow a moved point", () => {
  const names = (lines: ReturnType<typeof quietLines>): string[] => lines.map((line) => `${line.row.checkpoint.id} ${line.kind}`);
  expect(names(quietLines(HERE, ANGLE))).toEqual(["tilt body", "knee body", "knee body"]);
  expect(names(quietLines([...HERE, number("again", ["trail_knee", "trail_ankle"])], ANGLE))).toHaveLength(3);
  expect(names(quietLines(HERE, undefined)).filter((name) => name.startsWith("angle"))).toEqual(["angle arm", "angle shaft"]);
  const moved = quietLines([number("tilt", ["lead_shoulder", "trail_shoulder"], { moving: { lead_shoulder: [210, 90] } })], undefined);
  expect(moved[0]?.from).toEqual([210, 90]);
});

test("a tap near a line finds its number, and one far from all finds none", () => {
  const lines = quietLines(HERE, ANGLE);
  expect(lineAt(lines, [160, 108], 10)?.row).toBe(TILT);
  expect(lineAt(lines, [121, 480], 10)?.row).toBe(KNEE);
  expect(lineAt(lines, [400, 400], 10)).toBeUndefined();
});

test("an angle stands where its lines meet, a tilt in the middle of its line, a place at its point", () => {
  const of = (...names: string[]) => vertexOf(Object.fromEntries(names.map((name) => [name, AT[name] as Xy])), 0);
  expect(of("lead_shoulder", "lead_wrist", "butt", "clubhead")).toEqual([321, 101]);
  expect(of("trail_hip", "trail_knee", "trail_ankle")).toEqual([120, 420]);
  expect(of("lead_shoulder", "trail_shoulder")).toEqual([160, 105]);
  expect(of("lead_wrist")).toEqual([320, 100]);
  expect(vertexOf({}, 0)).toBeNull();
});
