import { expect, test } from "vitest";
import type { Drawing, Xy } from "../../api/types";
import shared from "../../../../tests/vectors/desk.json";
import { drawingAt, handlesOf, handleWords, isWhole, leftFrames, LONGEST_LABEL, MOST_ON_A_STILL, MOST_PLACES, namesOf, onStill, SHORTEST_PX, thinned, withHandle } from "./drawing";
import { distanceToLine } from "./view";
import type { KeyframeNow } from "./keyframes";

const PICTURE = { width: 720, height: 1280 };
const drawing = (id: string, shape: Drawing["shape"], places: Xy[], more: Partial<Drawing> = {}): Drawing => ({
  id,
  clip_id: "c",
  swing: 0,
  keyframe: "top",
  frame: 75,
  shape,
  stroke: "full",
  places,
  label: shape === "label" ? "Keep" : "",
  ...more,
});
const LINE = drawing("l", "line", [[100, 100], [200, 300]]);
const CIRCLE = drawing("o", "circle", [[400, 400], [450, 400]]);

test("the server has the same limits", () => {
  expect([MOST_ON_A_STILL, LONGEST_LABEL, SHORTEST_PX, MOST_PLACES]).toEqual([shared.most_on_a_still, shared.longest_label, shared.shortest_px, shared.most_places]);
});

test("drawings of a still are counted by kind", () => {
  const all = [drawing("a", "arrow", []), CIRCLE, drawing("b", "arrow", []), { ...LINE, frame: 76 }, { ...LINE, clip_id: "d" }];
  expect(onStill(all, "c", 75).map((one) => one.id)).toEqual(["a", "o", "b"]);
  expect(namesOf(onStill(all, "c", 75))).toEqual({ a: "Arrow 1", o: "Circle 1", b: "Arrow 2" });
});

test("an end is moved alone, the middle takes all along", () => {
  expect(handlesOf(LINE)).toEqual({ start: [100, 100], whole: [150, 200], end: [200, 300] });
  expect(withHandle(LINE, "end", [210, 310], PICTURE).places).toEqual([[100, 100], [210, 310]]);
  expect(withHandle(LINE, "start", [90, 80], PICTURE).places).toEqual([[90, 80], [200, 300]]);
  expect(withHandle(LINE, "whole", [160, 190], PICTURE).places).toEqual([[110, 90], [210, 290]]);
});

test("a circle moves by its centre and grows by its rim", () => {
  expect(withHandle(CIRCLE, "whole", [410, 420], PICTURE).places).toEqual([[410, 420], [460, 420]]);
  expect(withHandle(CIRCLE, "end", [400, 500], PICTURE).places).toEqual([[400, 400], [400, 500]]);
  expect(handleWords("Circle 1", "circle", "end")).toBe("Circle 1, rim");
});

test("nothing leaves the picture, and nothing shrinks on its way", () => {
  expect(withHandle(LINE, "end", [900, -50], PICTURE).places).toEqual([[100, 100], [719, 0]]);
  expect(withHandle(LINE, "whole", [0, 0], PICTURE).places).toEqual([[0, 0], [100, 200]]);
  expect(withHandle(LINE, "whole", [2000, 2000], PICTURE).places).toEqual([[619, 1079], [719, 1279]]);
});

test("two ends never meet", () => {
  expect(withHandle(LINE, "end", [101, 101], PICTURE)).toBe(LINE);
  expect(isWhole(drawing("l", "line", [[1, 1], [1, 5]]))).toBe(true);
  expect(isWhole(drawing("l", "line", [[1, 1], [1, 4.9]]))).toBe(false);
  expect(isWhole({ shape: "label", places: [[1, 1]], label: "  " })).toBe(false);
});

test("a tap takes the nearest stroke, not what a circle surrounds", () => {
  const all = [LINE, CIRCLE];
  expect(drawingAt(all, [150, 205], 18)?.id).toBe("l");
  expect(drawingAt(all, [400, 352], 18)?.id).toBe("o");
  expect(drawingAt(all, [400, 400], 18)).toBeNull();
  expect(drawingAt(all, [220, 340], 18)).toBeNull();
});

test("frames that their instants have left are told with where the instant is now", () => {
  const keyframes = [
    { id: "top", frame: 80 },
    { id: "impact", frame: 100 },
  ] as KeyframeNow[];
  const all = [LINE, CIRCLE, drawing("i", "line", [], { keyframe: "impact", frame: 100 }), drawing("f", "line", [], { keyframe: "finish", frame: 119 })];
  expect(leftFrames(all, "c", 0, keyframes)).toEqual([
    { frame: 75, keyframe: "top", now: 80, drawings: 2 },
    { frame: 119, keyframe: "finish", now: null, drawings: 1 },
  ]);
  expect(leftFrames(all, "c", 1, keyframes)).toEqual([]);
});

test("a hand's samples are thinned to a bounded number that stays near all of them", () => {
  const spiral = Array.from({ length: 3000 }, (_, step): Xy => [360 + step * 0.1 * Math.cos(step / 150), 640 + step * 0.1 * Math.sin(step / 150)]);
  const few = thinned(spiral, 1);
  expect(few.length).toBeLessThanOrEqual(MOST_PLACES);
  expect([few[0], few.at(-1)]).toEqual([spiral[0], spiral.at(-1)]);
  const off = (at: Xy): number => Math.min(...few.slice(1).map((end, index) => distanceToLine(at, few[index] as Xy, end)));
  expect(Math.max(...spiral.map(off))).toBeLessThan(6);
  expect(thinned([[0, 0], [10, 0.2], [20, 0]], 1)).toEqual([[0, 0], [20, 0]]);
});

const FREE = drawing("f", "free", [[100, 100], [150, 80], [200, 100]]);

test("a free line pulled by an end turns and stretches about the other and keeps its form", () => {
  expect(handlesOf(FREE)).toEqual({ start: [100, 100], whole: [150, 80], end: [200, 100] });
  expect(withHandle(FREE, "end", [100, 300], PICTURE).places).toEqual([[100, 100], [140, 200], [100, 300]]);
  expect(withHandle(FREE, "start", [0, 100], PICTURE).places).toEqual([[0, 100], [100, 60], [200, 100]]);
  expect(withHandle(FREE, "whole", [160, 90], PICTURE).places).toEqual([[110, 110], [160, 90], [210, 110]]);
  expect(withHandle(FREE, "end", [100, 0], PICTURE).places).toEqual([[100, 100], [80, 50], [100, 0]]);
  expect(withHandle(FREE, "end", [719, 0], PICTURE), "its bend would leave the picture").toBe(FREE);
  expect(withHandle(FREE, "end", [101, 101], PICTURE)).toBe(FREE);
  expect(Object.keys(handlesOf(drawing("r", "free", [[100, 100], [150, 80], [103, 100]])))).toEqual(["whole"]);
});

test("a free line is taken by a tap on any of its stretches", () => {
  expect(drawingAt([FREE], [175, 92], 6)?.id).toBe("f");
  expect(drawingAt([FREE], [150, 100], 6)).toBeNull();
});
