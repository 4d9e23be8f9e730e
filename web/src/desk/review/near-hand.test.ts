import { expect, test } from "vitest";
import type { Xy } from "../../api/types";
import { FINGER_PX, HANDLE_PX, loupeBox, loupeSide, wordsBox, type Box, type Taken } from "./near-hand";

const distance = ({ left, top, width, height }: Box, [x, y]: Xy): number =>
  Math.hypot(x - Math.max(left, Math.min(x, left + width)), y - Math.max(top, Math.min(y, top + height)));
const within = ({ left, top, width, height }: Box, pane: { width: number; height: number }): boolean =>
  left >= 0 && top >= 0 && left + width <= pane.width && top + height <= pane.height;

test.each([
  { width: 358, height: 304 },
  { width: 320, height: 420 },
  { width: 700, height: 520 },
])("in a pane of $width by $height the loupe is whole, near the finger and never under it", (pane) => {
  const side = loupeSide(pane);
  for (let x = 0; x <= pane.width; x += 20) {
    for (let y = 0; y <= pane.height; y += 20) {
      const box = loupeBox(pane, [x, y], side);
      expect(within(box, pane)).toBe(true);
      expect(distance(box, [x, y])).toBeGreaterThanOrEqual(FINGER_PX);
      expect(distance(box, [x, y])).toBeLessThan(FINGER_PX + 20);
    }
  }
});

test("the loupe is above the finger, and beside it under the upper edge", () => {
  const pane = { width: 700, height: 520 };
  const above = loupeBox(pane, [350, 400], 160);
  expect(above.top + above.height).toBeLessThan(400);
  expect(above.left + 80).toBe(350);
  expect(loupeBox(pane, [100, 60], 160).left).toBeGreaterThan(100 + FINGER_PX);
  expect(loupeBox(pane, [600, 60], 160).left + 160).toBeLessThan(600 - FINGER_PX);
});

const NOTHING: Taken = { boxes: [], finger: null, lines: [], points: [], handles: [] };
const pane = { width: 700, height: 520 };
const size = { width: 150, height: 46 };

test("words stand beside what they tell of, off its lines and points, and inside the pane", () => {
  const at: Xy = [300, 260];
  const taken = { ...NOTHING, lines: [{ from: at, to: [500, 260] as Xy }], points: [[500, 260] as Xy] };
  const { box } = wordsBox(pane, at, size, taken, null);
  expect(within(box, pane)).toBe(true);
  expect(distance(box, at)).toBeGreaterThan(10);
  expect(distance(box, at)).toBeLessThan(60);
  for (let x = 300; x <= 500; x += 10) expect(distance(box, [x, 260])).toBeGreaterThan(0);
});

test("words keep clear of all of a handle, also of one led away from its point", () => {
  const at: Xy = [300, 260];
  const size = { width: 130, height: 64 };
  for (let turn = 0; turn < 16; turn += 1) {
    for (const far of [22, 30, 40]) {
      const handle: Xy = [at[0] + far * Math.cos((turn * Math.PI) / 8), at[1] + far * Math.sin((turn * Math.PI) / 8)];
      const { box, clear } = wordsBox(pane, at, size, { ...NOTHING, points: [at], handles: [at, handle] }, null);
      expect(clear).toBe(true);
      for (const one of [at, handle]) expect(distance(box, one)).toBeGreaterThanOrEqual(HANDLE_PX);
    }
  }
});

test("words are under neither finger nor loupe, and keep their side while another is no better", () => {
  const at: Xy = [300, 260];
  const finger: Xy = [330, 265];
  const loupe = loupeBox(pane, finger, 160);
  const { box, way } = wordsBox(pane, at, size, { ...NOTHING, finger, boxes: [loupe] }, null);
  expect(distance(box, finger)).toBeGreaterThanOrEqual(FINGER_PX);
  const apart = box.left >= loupe.left + loupe.width || box.left + box.width <= loupe.left || box.top >= loupe.top + loupe.height || box.top + box.height <= loupe.top;
  expect(apart).toBe(true);
  for (const other of [0, 1, 2, 3]) expect(wordsBox(pane, at, size, NOTHING, other).way).toBe(other);
  expect(wordsBox(pane, at, size, { ...NOTHING, finger, boxes: [loupe] }, way).way).toBe(way);
});

test("where every place near by covers a point a free corner is taken, and with none the words are left out", () => {
  const pane = { width: 400, height: 400 };
  const words = { width: 60, height: 40 };
  const grid: Xy[] = Array.from({ length: 41 * 41 }, (_, index): Xy => [(index % 41) * 10, Math.floor(index / 41) * 10]);
  const corner = grid.filter(([x, y]) => x > 60 || y > 40);
  const taken = { ...NOTHING, points: corner };
  const found = wordsBox(pane, [350, 350], words, taken, null);
  expect([found.clear, found.box.left, found.box.top]).toEqual([true, 0, 0]);
  expect(wordsBox(pane, [350, 350], words, { ...taken, points: grid }, null).clear).toBe(false);
});
