import { describe, expect, it } from "vitest";
import type { ProgressPoint, ProgressSeries } from "../../api/types";
import { chart, scale } from "./chart";

const ROOM = { width: 340, height: 180, left: 40, right: 10, top: 10, bottom: 30 };
const NOW = new Date("2026-03-01T12:00:00Z");

const point = (at: string, value: number, half = 4): ProgressPoint => ({
  submission_id: at,
  at: `${at}T10:00:00Z`,
  answered_at: `${at}T18:00:00Z`,
  club: "7-iron",
  value,
  low: value - half,
  high: value + half,
  band: "good",
  by_coach: false,
  own_bands: null,
});

const series = (...points: ProgressPoint[]): ProgressSeries => ({
  checkpoint: "lead_arm_shaft_angle",
  view: "face-on",
  purpose: "full",
  points,
  changed: null,
});

const TARGET = { good_low: 80, good_high: 100 };

describe("the chart", () => {
  const drawn = chart(
    series(point("2026-02-01", 120), point("2026-02-11", 110), point("2026-02-21", 95)),
    TARGET,
    [
      { drill_id: "a", name: "Stop and look", since: "2026-02-01T18:00:00Z", until: "2026-02-11T18:00:00Z" },
      { drill_id: "b", name: "Towel hug", since: "2026-02-11T18:00:00Z", until: null },
      { drill_id: "a", name: "Stop and look", since: "2026-02-15T18:00:00Z", until: "2026-02-20T18:00:00Z" },
      { drill_id: "c", name: "Long before", since: "2026-01-01T18:00:00Z", until: "2026-01-05T18:00:00Z" },
    ],
    ROOM,
    NOW,
  );

  it("puts days to their distance", () => {
    expect(drawn.spots.map((spot) => Math.round(spot.x))).toEqual([48, 185, 322]);
  });

  it("puts greater values higher, each within its doubt", () => {
    for (const spot of drawn.spots) {
      expect(spot.high).toBeLessThan(spot.y);
      expect(spot.low).toBeGreaterThan(spot.y);
    }
    expect(drawn.spots[0]?.y).toBeLessThan(drawn.spots[2]?.y ?? 0);
  });

  it("holds the whole target and every doubt", () => {
    expect(drawn.good?.top).toBeGreaterThanOrEqual(ROOM.top);
    expect(drawn.good?.bottom).toBeLessThanOrEqual(ROOM.height - ROOM.bottom);
    expect(Math.min(...drawn.spots.map((spot) => spot.high))).toBeGreaterThanOrEqual(ROOM.top);
  });

  it("gives each drill a row with the times it was given for", () => {
    expect(drawn.drills.map((one) => [one.name, one.open, one.bars.length])).toEqual([
      ["Stop and look", false, 2],
      ["Towel hug", true, 1],
    ]);
    expect(drawn.drills[0]?.bars[0]?.to).toBeCloseTo(drawn.drills[1]?.bars[0]?.from ?? 0);
    expect(drawn.drills[1]?.bars[0]?.to).toBe(322);
  });

  it("takes the student's own target where the last answer named one", () => {
    const own = { ...point("2026-02-21", 95), own_bands: { good_low: 90, good_high: 96 } } as ProgressPoint;
    const found = chart(series(point("2026-02-01", 95), own), TARGET, [], ROOM, NOW);
    const usual = chart(series(point("2026-02-01", 95), point("2026-02-21", 95)), TARGET, [], ROOM, NOW);
    expect((found.good?.bottom ?? 0) - (found.good?.top ?? 0)).not.toBeCloseTo((usual.good?.bottom ?? 0) - (usual.good?.top ?? 0));
  });

  it("draws one clip, and a number without a target", () => {
    const found = chart(series(point("2026-02-01", 95)), null, [], ROOM, NOW);
    expect(found.good).toBeNull();
    expect(found.spots).toHaveLength(1);
    expect(found.days).toHaveLength(1);
  });
});

describe("the scale", () => {
  it.each([
    [76, 124, 60, 140, 20],
    [0.31, 0.48, 0.3, 0.5, 0.05],
    [-1.2, 2.4, -2, 3, 1],
    [5, 5, 5, 5.000001, 0],
  ])("holds %d to %d in round steps", (least, most, ...expected) => {
    const found = scale(least, most);
    expect(found.least).toBeLessThanOrEqual(least);
    expect(found.most).toBeGreaterThanOrEqual(most);
    if (expected[2]) expect([found.least, found.most, found.step].map((one) => Number(one.toFixed(6)))).toEqual(expected);
  });
});
