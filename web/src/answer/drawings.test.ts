import { expect, test } from "vitest";
import shared from "../../../tests/vectors/desk.json";
import { barbs, drawingWords, drawnWords, letterPx, smoothPath, wrapped } from "./drawings";
import type { Drawing, Xy } from "../api/types";

const SIZE = { width: 720, height: 1280 };
const drawing = (shape: Drawing["shape"], places: Xy[], label = ""): Drawing => ({
  id: shape,
  clip_id: "c",
  swing: 0,
  keyframe: "top",
  frame: 75,
  shape,
  stroke: "full",
  places,
  label,
});

test("an arrow's barbs lie behind its tip, one on either side, and never longer than the arrow", () => {
  const [one, other] = barbs([0, 0], [100, 0], 16);
  expect(one[0]).toBeCloseTo(100 - 16 * Math.cos(Math.PI / 7));
  expect(one[1]).toBeCloseTo(-other[1]);
  expect(Math.hypot(100 - one[0], one[1])).toBeCloseTo(16);
  const [short] = barbs([0, 0], [10, 0], 16);
  expect(Math.hypot(10 - short[0], short[1])).toBeCloseTo(6);
});

test("a label is broken between words, and a long word in itself", () => {
  expect(wrapped("Keep this")).toEqual(["Keep this"]);
  expect(wrapped("The lead arm and the shaft make an L")).toEqual(["The lead arm and", "the shaft make an", "L"]);
  expect(wrapped("x".repeat(40)).map((line) => line.length)).toEqual([18, 18, 4]);
});

test("letters grow with the picture and stay readable on a small screen", () => {
  expect(letterPx(SIZE, 1)).toBe(32);
  expect(letterPx(SIZE, 4)).toBe(48);
});

test.each(shared.free_lines)("a free line of $id is drawn as on paper", ({ places, path }) => {
  expect(smoothPath(places as Xy[])).toBe(path);
});

test("what is drawn is told in words", () => {
  expect(drawingWords(drawing("free", [[10, 10], [360, 640], [700, 1270]]), SIZE)).toBe("a free line from the top left to the bottom right");
  expect(drawingWords(drawing("free", [[10, 10], [300, 300], [20, 20]]), SIZE)).toBe("a free line at the top left");
  expect(drawingWords(drawing("arrow", [[360, 1200], [360, 100]]), SIZE)).toBe("an arrow pointing up, its tip at the top");
  expect(drawingWords(drawing("arrow", [[700, 640], [20, 640]]), SIZE)).toBe("an arrow pointing left, its tip at the left");
  expect(drawingWords(drawing("line", [[10, 10], [700, 1270]]), SIZE)).toBe("a line from the top left to the bottom right");
  expect(drawingWords(drawing("circle", [[360, 640], [400, 640]]), SIZE)).toBe("a circle round a place at the middle");
  expect(drawingWords(drawing("label", [[700, 20]], "Keep this"), SIZE)).toBe("the words “Keep this” at the top right");
  expect(drawnWords([], SIZE)).toBe("");
  expect(drawnWords([drawing("label", [[700, 20]], "A"), drawing("label", [[20, 20]], "B")], SIZE)).toBe(
    " Your coach drew on it: the words “A” at the top right; the words “B” at the top left.",
  );
});
