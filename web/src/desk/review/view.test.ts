import { expect, test } from "vitest";
import { layIn, nearest, onPicture, placeOf, spotOf } from "./view";

const pane = { width: 700, height: 600 };
const portrait = { width: 720, height: 1280 };

test("at zoom 1 the whole picture lies in the middle of the pane", () => {
  const lie = layIn(pane, portrait, 1, [0, 0]);
  expect(lie.scale).toBeCloseTo(600 / 1280, 12);
  expect(lie.top).toBeCloseTo(0, 12);
  expect(lie.left).toBeCloseTo((700 - 720 * (600 / 1280)) / 2, 12);
});

test("zoomed in, the centre is in the middle, and at an edge no strip stays empty", () => {
  const lie = layIn(pane, portrait, 3, [360, 640]);
  expect(spotOf(lie, [360, 640])[0]).toBeCloseTo(350, 9);
  expect(spotOf(lie, [360, 640])[1]).toBeCloseTo(300, 9);
  const corner = layIn(pane, portrait, 3, [0, 0]);
  expect([corner.left, corner.top]).toEqual([0, 0]);
});

test("screen and picture pixels turn into each other", () => {
  const lie = layIn(pane, portrait, 2, [100, 900]);
  const [x, y] = placeOf(lie, spotOf(lie, [123.4, 567.8]));
  expect(x).toBeCloseTo(123.4, 9);
  expect(y).toBeCloseTo(567.8, 9);
});

test("a point stays on the picture", () => {
  expect(onPicture([-4, 2000], portrait)).toEqual([0, 1279]);
  expect(onPicture([12.345, 6.789], portrait)).toEqual([12.3, 6.8]);
});

test("the nearest point within reach is taken, and none beyond it", () => {
  const points = { butt: [100, 100] as [number, number], lead_wrist: [110, 100] as [number, number] };
  expect(nearest(points, [107, 100], 30)).toBe("lead_wrist");
  expect(nearest(points, [102, 100], 30)).toBe("butt");
  expect(nearest(points, [200, 100], 30)).toBeNull();
});
