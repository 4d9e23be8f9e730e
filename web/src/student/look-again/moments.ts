import type { Clip, Submission } from "../../api/types";
import { KEYFRAME_ORDER, keyframeBriefly } from "../../words/golf";
import type { Picture } from "../../answer/pictures";

export interface Moment {
  id: string;
  name: string;
  time_s: number;
}

/** The moments of a clip's first swing that were found, as they come in it. */
export function momentsOf(clip: Clip): Moment[] {
  const found = clip.measurement?.swings[0]?.keyframes ?? {};
  return KEYFRAME_ORDER.flatMap((id) => {
    const moment = found[id];
    return moment && "time_s" in moment ? [{ id, name: keyframeBriefly(id), time_s: moment.time_s }] : [];
  });
}

/** What to go round in, seconds of the file: the swing with a little before and after; the whole clip without moments. */
export function stretchOf(moments: readonly Moment[], length_s: number): { from: number; to: number } {
  const start = moments.find((one) => one.id === "takeaway") ?? moments.find((one) => one.id === "address");
  const last = moments.at(-1);
  if (!start || !last || last.time_s <= start.time_s) return { from: 0, to: length_s };
  return { from: Math.max(0, start.time_s - 0.3), to: Math.min(length_s, last.time_s + 0.3) };
}

export interface Pair {
  keyframe: string;
  before: Picture;
  now: Picture;
}

/** The same moments of two answers, seen from the same place; those with the coach's lines first. */
export function pairs(before: readonly Picture[], now: readonly Picture[], view: string): Pair[] {
  const order: readonly string[] = KEYFRAME_ORDER;
  return now
    .filter((one) => one.view === view && !one.offMoment)
    .flatMap((one) => {
      const other = before.find((each) => each.view === view && each.keyframe === one.keyframe && !each.offMoment);
      return other ? [{ keyframe: one.keyframe, before: other, now: one }] : [];
    })
    .filter((pair, at, all) => all.findIndex((each) => each.keyframe === pair.keyframe) === at)
    .sort((one, other) => order.indexOf(one.keyframe) - order.indexOf(other.keyframe));
}

/** Clips that can be watched. */
export const watchable = (submission: Submission): Clip[] => submission.clips.filter((clip) => Boolean(clip.media?.proxy));
