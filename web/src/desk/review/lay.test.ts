import { expect, test } from "vitest";
import { bodyNear, boxOf, layOver } from "./lay";
import type { Tracked } from "./live";

const standing = (x: number, foot: number, leg: number): Record<string, Tracked> => ({
  lead_ankle: [x + 20, foot, 2],
  trail_ankle: [x - 20, foot, 2],
  lead_hip: [x + 10, foot - leg, 2],
  trail_hip: [x - 10, foot - leg, 2],
});

test("ankles come on ankles and hips on hips, however far and large the other stood", () => {
  const mine = bodyNear({ 40: standing(360, 1100, 300) }, 40);
  const theirs = bodyNear({ 10: standing(200, 900, 200) }, 10);
  if (mine === null || theirs === null) throw new Error("both were seen");
  const laid = layOver(mine, theirs);
  const onto = (x: number, y: number): [number, number] => [laid.left + laid.scale * x, laid.top + laid.scale * y];
  expect(laid.scale).toBeCloseTo(1.5, 12);
  expect(onto(200, 900)).toEqual([360, 1100]);
  expect(onto(200, 700)).toEqual([360, 800]);
  const box = boxOf(laid, { width: 400, height: 1000 }, { width: 720, height: 1280 });
  expect(box.width).toBeCloseTo((100 * 600) / 720, 9);
  expect(box.left).toBeCloseTo((100 * 60) / 720, 9);
});

test("one frame gone wrong does not move the body", () => {
  const frames = { 38: standing(360, 1100, 300), 39: standing(362, 1100, 302), 40: standing(100, 300, 90) };
  expect(bodyNear(frames, 40)).toEqual({ ankles: [360, 1100], leg: 300 });
});

test("without hips or ankles there is no body", () => {
  const { lead_hip: _, ...hidden } = standing(360, 1100, 300);
  expect(bodyNear({ 40: hidden }, 40)).toBeNull();
  expect(bodyNear({}, 40)).toBeNull();
});
