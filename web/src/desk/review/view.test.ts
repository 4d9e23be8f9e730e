import { expect, test } from "vitest";
import { layIn, movedBy, nearest, onPicture, placeOf, spotOf, spread, spreadAround } from "./view";

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

test("handles that would lie on each other are pulled apart, the others stay", () => {
  const points: Record<string, [number, number]> = {
    butt: [100, 100],
    lead_wrist: [106, 100],
    lead_elbow: [100, 108],
    clubhead: [300, 20],
  };
  const handles = spread(points, 46);
  expect(handles["clubhead"]).toEqual([300, 20]);
  const all = Object.values(handles);
  all.forEach((one, index) =>
    all.slice(index + 1).forEach((other) => {
      expect(Math.hypot(one[0] - other[0], one[1] - other[1])).toBeGreaterThan(45.9);
    }),
  );
  expect(points["butt"]).toEqual([100, 100]);
});

test("points on the very same spot get handles side by side", () => {
  const handles = spread({ butt: [50, 50], lead_wrist: [50, 50] }, 46);
  expect(handles["butt"]?.[0]).toBeCloseTo(27, 1);
  expect(handles["lead_wrist"]?.[0]).toBeCloseTo(73, 1);
});

test("handles around others keep off them and off each other, also two in one place", () => {
  const fixed: [number, number][] = [[100, 100], [130, 100]];
  const points = { one: [100, 100], two: [100, 100], three: [300, 300] } as Record<string, [number, number]>;
  const { one, two, three } = spreadAround(fixed, points, 30, 36) as Record<string, [number, number]>;
  for (const at of [one!, two!]) for (const other of fixed) expect(Math.hypot(at[0] - other[0], at[1] - other[1])).toBeGreaterThan(34);
  expect(Math.hypot(one![0] - two![0], one![1] - two![1])).toBeGreaterThan(28);
  expect(three).toEqual([300, 300]);
});

test("a move away from the edge shows at once, however near to it the centre was asked for", () => {
  const atEdge = layIn(pane, portrait, 3, [360, 20]);
  const moved = layIn(pane, portrait, 3, movedBy(atEdge, pane, [0, 150]));
  expect([atEdge.top, moved.top]).toEqual([0, -150]);
  const beyond = layIn(pane, portrait, 3, movedBy(atEdge, pane, [0, -900]));
  expect(layIn(pane, portrait, 3, movedBy(beyond, pane, [0, 40])).top).toBeCloseTo(-40, 9);
});
