import { expect, test } from "vitest";
import type { DraftWords, Review, Xy } from "../../api/types";
import type { KeptEdit } from "./keep";
import { mergeWords, nameOfEdit, sortEdits } from "./merge";

const words = (more: Partial<DraftWords> = {}): DraftWords => ({ text: "", later: [], judgements: [], by_eye: [], drawings: [], drills: [], what_changed: "", ...more });
const place = { clipId: "c", swing: 0, keyframe: "top" };
const mark = (to: number | null, was: number | null = null): KeptEdit => ({ id: `m${to}`, edit: { kind: "mark", place, from: was, to }, was });
const point = (to: Xy | null, was: Xy | null = null): KeptEdit => ({
  id: `p${to}`,
  edit: { kind: "point", place, point: "clubhead", from: was, to },
  was,
});
const draft = (marks: number[], points: Xy[]): Review["draft"] =>
  ({
    marks: marks.map((frame) => ({ clip_id: "c", swing: 0, keyframe: "top", frame, time_s: 0 })),
    points: points.map(([x, y]) => ({ clip_id: "c", swing: 0, keyframe: "top", frame: 1, point: "clubhead", x, y })),
  }) as unknown as Review["draft"];

test("what only one side changed is taken from it, part by part", () => {
  const base = words({ text: "Before.", later: ["Grip"] });
  const mine = words({ text: "Mine.", later: ["Grip"] });
  const server = words({ text: "Before.", later: ["Stance"] });
  expect(mergeWords(mine, base, server)).toEqual({ words: words({ text: "Mine.", later: ["Stance"] }), clash: false });
});

test("what both changed clashes, and the server's shows", () => {
  const { words: shown, clash } = mergeWords(words({ text: "Mine." }), words({ text: "Before." }), words({ text: "Theirs." }));
  expect([shown.text, clash]).toEqual(["Theirs.", true]);
});

test("without knowing what it was before, a difference is a clash", () => {
  expect(mergeWords(words({ text: "Mine." }), null, words({ text: "Theirs." })).clash).toBe(true);
  expect(mergeWords(words({ text: "Same." }), null, words({ text: "Same." })).clash).toBe(false);
});

test("changes of the picture fit what is as it was, or has arrived already", () => {
  expect(sortEdits([point([1, 1]), point([2, 2])], draft([], [])).fit).toHaveLength(2);
  expect(sortEdits([point([1, 1]), point([2, 2])], draft([], [[1, 1]])).fit).toHaveLength(2);
  expect(sortEdits([point([1, 1], [5, 5])], draft([], [[5, 5]])).fit).toHaveLength(1);
});

test("a thing that somebody else has moved is not moved again", () => {
  expect(sortEdits([point([1, 1])], draft([], [[9, 9]])).clash.map((one) => one.id)).toEqual(["p1,1"]);
  expect(sortEdits([mark(40, 30)], draft([31], [])).clash).toHaveLength(1);
});

test("a point goes with the moment on whose frame it was placed", () => {
  const { fit, clash } = sortEdits([mark(40), point([1, 1])], draft([31], []));
  expect([fit, clash.map((one) => one.id)]).toEqual([[], ["m40", "p1,1"]]);
});

test("a change has a name that the coach knows", () => {
  expect(nameOfEdit(point([1, 1]).edit)).toBe("Clubhead at top");
  expect(nameOfEdit({ ...mark(3).edit, place: { ...place, swing: 1 } })).toBe("The moment of top, swing 2");
});
