import type { DrillSpan, ProgressPoint, ProgressSeries } from "../../api/types";

/** A number over weeks as a drawing: values with their doubt over the target, and the drills given meanwhile. */

export interface Room {
  width: number;
  height: number;
  left: number;
  right: number;
  top: number;
  bottom: number;
}

export interface Spot {
  x: number;
  y: number;
  high: number;
  low: number;
  point: ProgressPoint;
}

export interface Chart {
  spots: Spot[];
  /** The good band and all that is near it, from top to bottom; null without a target. */
  good: { top: number; bottom: number } | null;
  /** Values at which a line is drawn, with their heights. */
  ticks: { value: number; y: number }[];
  /** Days at which the first and the last clip came. */
  days: { at: string; x: number; anchor: "start" | "middle" | "end" }[];
  /** A row for each drill with the times it was given for; `open`: it is one of today's. */
  drills: { name: string; open: boolean; bars: { from: number; to: number }[] }[];
}

export interface Limits {
  good_low: number;
  good_high: number;
}

const DAY_MS = 86_400_000;
/** Left free beside the first and the last clip, so that their marks lie within the drawing. */
const INSET = 8;

/** `bands`: the checkpoint's own target, used where the last answer named none of the student's own. */
export function chart(series: ProgressSeries, bands: Limits | null, drills: readonly DrillSpan[], room: Room, now: Date): Chart {
  const points = series.points;
  const own = points.at(-1)?.own_bands ?? null;
  const target = own ?? bands;
  const all = points.flatMap((one) => [one.low, one.high]).concat(target ? [target.good_low, target.good_high] : []);
  const { least, most, step } = scale(Math.min(...all), Math.max(...all));
  const inner = { wide: room.width - room.left - room.right, high: room.height - room.top - room.bottom };
  const y = (value: number): number => room.top + inner.high * (1 - (value - least) / (most - least));
  const times = points.map((one) => Date.parse(one.at));
  const first = times[0] ?? now.getTime();
  const last = Math.max(times.at(-1) ?? first, first + DAY_MS);
  const x = (time: number): number =>
    room.left + INSET + ((inner.wide - 2 * INSET) * (clamp(time, first, last) - first)) / (last - first);
  return {
    spots: points.map((point, at) => ({ x: x(times[at] ?? first), y: y(point.value), high: y(point.high), low: y(point.low), point })),
    good: target && { top: y(target.good_high), bottom: y(target.good_low) },
    ticks: range(least, most, step).map((value) => ({ value, y: y(value) })),
    days: ends(points, x),
    drills: spans(drills, first, last, x),
  };
}

const clamp = (value: number, least: number, most: number): number => Math.min(Math.max(value, least), most);

/** Round limits around what is shown, with three to six lines: steps of 1, 2 or 5 times a power of ten. */
export function scale(least: number, most: number): { least: number; most: number; step: number } {
  const span = Math.max(most - least, 1e-6);
  const rough = span / 4;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = ([1, 2, 5, 10].find((times) => times * power >= rough) ?? 10) * power;
  return { least: Math.floor(least / step) * step, most: Math.ceil(most / step) * step, step };
}

function range(least: number, most: number, step: number): number[] {
  const count = Math.round((most - least) / step);
  // Multiples, not sums: ten times 0.1 is 1.
  return Array.from({ length: count + 1 }, (_, at) => (Math.round(least / step) + at) * step);
}

function ends(points: readonly ProgressPoint[], x: (time: number) => number): Chart["days"] {
  const [first, last] = [points[0], points.at(-1)];
  if (!first || !last) return [];
  const one = { at: first.at, x: x(Date.parse(first.at)), anchor: "start" as const };
  return points.length === 1 ? [one] : [one, { at: last.at, x: x(Date.parse(last.at)), anchor: "end" }];
}

/** Drills of the time in which the clips came; one given with the last answer begins at its end. */
function spans(drills: readonly DrillSpan[], first: number, last: number, x: (time: number) => number): Chart["drills"] {
  const rows = new Map<string, Chart["drills"][number]>();
  for (const one of drills) {
    const stop = one.until === null ? Infinity : Date.parse(one.until);
    if (stop <= first) continue;
    const row = rows.get(one.drill_id) ?? { name: one.name, open: false, bars: [] };
    row.bars.push({ from: x(Date.parse(one.since)), to: x(Math.min(stop, last)) });
    row.open ||= one.until === null;
    rows.set(one.drill_id, row);
  }
  return [...rows.values()];
}
