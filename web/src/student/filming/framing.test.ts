import { expect, test } from "vitest";
import vectors from "../../../../tests/vectors/framing.json";
import type { Hand, View } from "../../api/types";
import type { Place } from "./body/crop";
import { surelyAbove, surelyBelow, LIMITS } from "./estimates";
import { CHECKS, judge, reach, type Situation, type Told } from "./framing";
import { aboveHandsM, cutOffAt, distanceM, legPx, scale, standsStill, viewSeen } from "./stance";
import { firstBad, HOLD_BAD_MS, HOLD_GOOD_MS, Steady } from "./steady";
import { tiltOf } from "./tilt";

type Case = (typeof vectors.cases)[number];
const trackOf = (one: Case): Place[][] => one.points as unknown as Place[][];
const sizeOf = (one: Case) => ({ width: one.width, height: one.height });

test.each(vectors.cases)("$id is judged as the worker judges it", (one) => {
  const track = trackOf(one);
  const size = sizeOf(one);
  const pxPerM = scale(track, null);
  const away = distanceM(pxPerM, size);
  const above = aboveHandsM(track, pxPerM, size, { value: one.down_deg, sigma: 1 }, one.roll_deg);
  const { expected } = one;
  expect(viewSeen(track)).toBe(expected.view_seen);
  expect(legPx(track)).toBeCloseTo(expected.leg_px, 6);
  expect(legPx(track) * one.film_px < LIMITS.leg_min_px).toBe(expected.too_small);
  expect(cutOffAt(track, size) !== null).toBe(expected.cut_off);
  expect(away.value).toBeCloseTo(expected.distance_m.value, 6);
  expect(away.sigma).toBeCloseTo(expected.distance_m.sigma, 6);
  expect(above.value).toBeCloseTo(expected.above_hands_m.value, 6);
  expect(above.sigma).toBeCloseTo(expected.above_hands_m.sigma, 6);
  const codes = [
    ...(surelyAbove(above, LIMITS.high_m) ? ["camera_high"] : []),
    ...(surelyBelow(above, -LIMITS.low_m) ? ["camera_low"] : []),
    ...(surelyBelow(away, LIMITS.near_m) ? ["camera_near"] : []),
  ];
  expect(codes).toEqual(expected.codes);
});

function situation(id: string, change: Partial<Situation> = {}): Situation {
  const one = vectors.cases.find((each) => each.id === id);
  if (one === undefined) throw new Error(id);
  return {
    looked: true,
    track: trackOf(one),
    size: sizeOf(one),
    filmPx: one.film_px,
    crowded: false,
    light: 180,
    exposureS: null,
    tilt: { leanDeg: 0, downDeg: 0 },
    view: one.view as View,
    handed: one.handed as Hand,
    clubM: 0.94,
    statureM: 1.66,
    ...change,
  };
}

const codesOf = (told: Told[]): string[] => told.flatMap((one) => (one.state === "bad" ? [one.code] : []));

test.each(["face_on_as_it_is", "left_handed_as_it_is", "from_behind_as_it_is"])("%s: nothing is to be changed", (id) => {
  const told = judge(situation(id));
  expect(told.map((one) => one.check)).toEqual([...CHECKS]);
  expect(told.map((one) => one.state)).toEqual(CHECKS.map(() => "good"));
});

test.each([
  ["face_on_near", "camera_near"],
  ["face_on_far", "person_small"],
  ["face_on_feet_out", "person_cut_off"],
  ["face_on_head_out", "person_cut_off"],
  ["face_on_turned_away", "view_unclear"],
  ["face_on_aside", "club_cut_off"],
])("%s tells %s", (id, code) => {
  expect(codesOf(judge(situation(id)))).toContain(code);
});

test.each([
  [{ track: [] }, "nobody_in_view"],
  [{ crowded: true }, "several_people"],
  [{ view: "down-the-line" }, "view_contradicts"],
  [{ tilt: { leanDeg: 5, downDeg: 0 } }, "camera_not_level"],
  [{ tilt: { leanDeg: 0, downDeg: 16 } }, "camera_high"],
  [{ light: 30 }, "picture_dark"],
  [{ exposureS: 1 / 30 }, "picture_dark"],
  [{ clubM: 1.6 }, "club_cut_off"],
] as [Partial<Situation>, string][])("%j tells %s", (change, code) => {
  expect(codesOf(judge(situation("face_on_as_it_is", change)))).toEqual(expect.arrayContaining([code]));
});

test("no sentence keeps a blank, and each says what to do in few words", () => {
  const all = vectors.cases.flatMap((one) =>
    (["face-on", "down-the-line"] as const).flatMap((view) =>
      judge(situation(one.id, { view, tilt: { leanDeg: -one.roll_deg * 2, downDeg: one.down_deg } })),
    ),
  );
  const bad = all.flatMap((told) => (told.state === "bad" ? [told] : []));
  expect(new Set(bad.map((told) => told.code)).size).toBeGreaterThan(6);
  for (const told of bad) {
    expect(told.message).not.toMatch(/[{}]/);
    expect(told.short.length).toBeLessThan(60);
  }
});

test("what the phone cannot tell is not held against the student", () => {
  const told = judge(situation("face_on_as_it_is", { tilt: null, light: null }));
  expect(told.filter((one) => one.state === "unknown").map((one) => one.check)).toEqual(["level", "height", "light"]);
  expect(firstBad(told)).toBeNull();
});

test("a phone that cannot look still tells its level and the light", () => {
  const told = judge(situation("face_on_as_it_is", { looked: false, track: [], tilt: { leanDeg: 9, downDeg: 0 }, light: 20 }));
  expect(codesOf(told)).toEqual(["camera_not_level", "picture_dark"]);
  expect(told[0]?.state).toBe("unknown");
});

test("a left-hander's ball lies on the other side", () => {
  const right = reach("down-the-line", "right", 0.5);
  const left = reach("down-the-line", "left", 0.5);
  expect([left.left, left.right]).toEqual([right.right, right.left]);
  expect(right.right).toBeGreaterThan(right.left);
});

test("only who stands with still hands before the body is at address", () => {
  const track = situation("face_on_as_it_is").track;
  const moved = (right: number, down: number): Place[][] =>
    track.map((places, row) => places.map(([x, y], index): Place => (index >= 15 && index <= 22 ? [x + row * right, y + down] : [x, y])));
  expect(standsStill(track)).toBe(true);
  expect(standsStill(moved(2, 0))).toBe(true);
  expect(standsStill(moved(20, 0))).toBe(false);
  expect(standsStill(moved(0, -200))).toBe(false);
  expect(standsStill([])).toBe(false);
});

test.each([
  ["upright", 90, 0, 0, 0],
  ["on its side", 0, -90, 0, 0],
  ["on its other side", 0, 90, 0, 0],
  ["upright, the lens looking 10 degrees down", 80, 0, 0, 10],
  ["upright, the lens looking 15 degrees up", 105, 0, 0, -15],
])("a phone that stands %s", (_name, beta, gamma, lean, down) => {
  const tilt = tiltOf(beta, gamma);
  expect(tilt?.leanDeg).toBeCloseTo(lean, 9);
  expect(tilt?.downDeg).toBeCloseTo(down, 9);
});

test("a leaning phone tells by how much, a lying or silent one nothing", () => {
  // Turned 6 degrees about the lens from upright: up is (-sin 6, cos 6, 0) in its own axes.
  const lean = (6 * Math.PI) / 180;
  const beta = (Math.asin(Math.cos(lean)) * 180) / Math.PI;
  expect(tiltOf(beta, 90)?.leanDeg).toBeCloseTo(-6, 9);
  expect(tiltOf(0, 0)).toBeNull();
  expect(tiltOf(null, 0)).toBeNull();
});

test("an answer must hold before another is shown, and good news shows sooner", () => {
  const steady = new Steady();
  const good: Told[] = [{ check: "level", state: "good" }];
  const bad: Told[] = [{ check: "level", state: "bad", code: "camera_not_level", short: "Level it", message: "Level the phone." }];
  const state = (told: Told[], at: number) => steady.hear(told, at)[0]?.state;
  expect(state(good, 0)).toBe("good");
  expect(state(bad, 100)).toBe("good");
  expect(state(good, 200)).toBe("good");
  expect(state(bad, 300)).toBe("good");
  expect(state(bad, 300 + HOLD_BAD_MS - 1)).toBe("good");
  expect(state(bad, 300 + HOLD_BAD_MS)).toBe("bad");
  expect(state(good, 2000)).toBe("bad");
  expect(state(good, 2000 + HOLD_GOOD_MS)).toBe("good");
});
