import type { Checkpoint, Hand, PlacedPoint, Reading, Xy } from "../../api/types";
import {
  evaluate,
  inputsWithoutMachine,
  isMissing,
  placePoints,
  sigmaInput,
  type CheckpointId,
  type PointName,
  type Points,
} from "../../geometry";

/** What the page shows while a point moves: the server's own formula, on the points as they are now. */
export type LiveReading = Pick<Reading, "value" | "sigma" | "low" | "high" | "band" | "missing">;

/** A point as the machine tracked it: x, y, one sigma, in picture pixels. */
export type Tracked = readonly [number, number, number];

/** Where tracked points are, without how well they are known. */
export const placesOf = (tracked: Readonly<Record<string, Tracked>>): Record<string, Xy> =>
  Object.fromEntries(Object.entries(tracked).map(([name, at]): [string, Xy] => [name, [at[0], at[1]]]));

/**
 * A reading to start from where the machine gave no number: its tracked points on that frame, and
 * what is known of the error without it. The server starts from the same.
 */
export function startingFrom(
  checkpoint: Checkpoint,
  reading: Reading,
  tracked: Readonly<Record<string, Tracked>>,
): Reading {
  if (reading.source === "coach" || reading.value !== null) return reading;
  const seen = checkpoint.points.flatMap((name) => (tracked[name] ? [[name, tracked[name]] as const] : []));
  const sigmas = Object.fromEntries(seen.map(([name, at]) => [sigmaInput(name as PointName), at[2]]));
  const points = Object.fromEntries(seen.map(([name, at]): [string, Xy] => [name, [at[0], at[1]]]));
  return { ...reading, points, inputs: { ...inputsWithoutMachine(checkpoint.id), ...sigmas } };
}

/**
 * The points of a reading with what is being moved put over them. `machine`: where the machine has them, for those on
 * their way back to it; one that it never had is gone then. Null while that is not known: they stay until the server answers.
 */
export function pointsNow(
  reading: Pick<Reading, "points">,
  moving: Readonly<Record<string, Xy | null>>,
  machine: Readonly<Record<string, Xy>> | null = null,
): Record<string, Xy> {
  const now = { ...reading.points };
  for (const [name, at] of Object.entries(moving)) {
    const there = at ?? machine?.[name];
    if (there !== undefined) now[name] = there;
    else if (machine !== null) delete now[name];
  }
  return now;
}

/**
 * The reading with `moving` points in their new places. A coach's earlier points (`placed`) count
 * as placed by hand too, so that spread and floor are those that the server will give. How well the machine knows a
 * point that goes back to it (`machine`, as in `pointsNow`) the server tells with its answer; the value is there at once.
 */
export function liveReading(
  checkpoint: Checkpoint,
  reading: Reading,
  placed: readonly PlacedPoint[],
  moving: Readonly<Record<string, Xy | null>>,
  handed: Hand,
  widthPx: number,
  machine: Readonly<Record<string, Xy>> | null = null,
): LiveReading {
  if (Object.values(moving).every((at) => at === null && machine === null)) return reading;
  const id = checkpoint.id as CheckpointId;
  const back = Object.fromEntries(Object.entries(moving).filter(([, at]) => at === null));
  const hand: Record<string, Xy> = Object.fromEntries(placed.map((item) => [item.point, [item.x, item.y]]));
  const byHand = pointsNow({ points: hand }, moving, machine === null ? null : {}) as unknown as Points;
  const over = placePoints(id, pointsNow(reading, back, machine) as unknown as Points, reading.inputs, byHand);
  const bands = checkpoint.bands && {
    watchLow: checkpoint.bands.watch_low,
    goodLow: checkpoint.bands.good_low,
    goodHigh: checkpoint.bands.good_high,
    watchHigh: checkpoint.bands.watch_high,
  };
  const answer = evaluate(id, over.points, over.inputs, handed, widthPx, bands);
  if (isMissing(answer)) {
    return { value: null, sigma: null, low: null, high: null, band: null, missing: answer.missing };
  }
  const { value, sigma, low, high, band } = answer;
  return { value, sigma, low, high, band, missing: null };
}
