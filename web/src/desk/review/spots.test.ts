import { expect, test } from "vitest";
import { placeHandles, placeLabels, type Label } from "./spots";

const SWING = [120, 150, 171, 180, 240, 252, 258, 261, 330];

test("handles keep apart, in order and on the strip, and far ones stay where they are", () => {
  for (const width of [340, 700]) {
    const placed = placeHandles(SWING, width, 28);
    placed.slice(1).forEach((x, index) => expect(x - (placed[index] ?? 0)).toBeGreaterThanOrEqual(28 - 1e-9));
    expect(placed[0]).toBeGreaterThanOrEqual(14);
    expect(placed.at(-1)).toBeLessThanOrEqual(width - 14);
  }
  expect(placeHandles([50, 100, 600], 700, 28)).toEqual([50, 100, 600]);
});

test("a crowd opens around its own middle", () => {
  expect(placeHandles([300, 300, 300], 700, 28)).toEqual([272, 300, 328]);
  expect(placeHandles([2, 4], 700, 28)).toEqual([14, 42]);
});

const labels = (first: string): Label[] =>
  SWING.map((x, index) => ({ id: String(index), x, width: 30 + 7 * (index % 4), first: String(index) === first }));

test("labels never overlap, stay on the strip, and the chosen one is always there", () => {
  for (const width of [340, 700]) {
    for (let chosen = 0; chosen < SWING.length; chosen += 1) {
      const all = labels(String(chosen));
      const spots = placeLabels(all, width, 2);
      expect(spots[String(chosen)]).toBeDefined();
      const boxes = all.flatMap((label) => {
        const spot = spots[label.id];
        return spot ? [{ row: spot.row, left: spot.left, right: spot.left + label.width }] : [];
      });
      boxes.forEach((one, index) => {
        expect(one.left).toBeGreaterThanOrEqual(0);
        expect(one.right).toBeLessThanOrEqual(width);
        for (const other of boxes.slice(index + 1)) {
          expect(one.row !== other.row || one.right < other.left || other.right < one.left).toBe(true);
        }
      });
    }
  }
});
