import { isMissing, type Mark, type Measurement } from "../../api/types";
import { KEYFRAME_ORDER } from "../../words/golf";

/** Keyframes a coach always sees, found or not; others appear when they were found or set. */
const ALWAYS = new Set(["address", "takeaway", "lead_arm_parallel", "top", "impact"]);

/** A keyframe as it stands: the coach's where there is one, else the machine's. */
export interface KeyframeNow {
  id: string;
  frame: number | null;
  timeS: number | null;
  /** One sigma of the machine's instant; null for a coach's. */
  sigmaS: number | null;
  machineFrame: number | null;
  moved: boolean;
  missing: string | null;
}

/** The keyframes of one swing in order. `marks` are those of the same clip and swing. */
export function keyframesNow(
  measurement: Measurement | null,
  swing: number,
  marks: readonly Mark[],
): KeyframeNow[] {
  const found = measurement?.swings[swing]?.keyframes ?? {};
  return KEYFRAME_ORDER.flatMap((id): KeyframeNow[] => {
    const machine = found[id];
    const mark = marks.find((item) => item.keyframe === id);
    const instant = machine === undefined || isMissing(machine) ? null : machine;
    if (instant === null && mark === undefined && !ALWAYS.has(id)) return [];
    const missing = machine !== undefined && isMissing(machine) ? machine.missing : null;
    return [
      {
        id,
        frame: mark?.frame ?? instant?.frame ?? null,
        timeS: mark?.time_s ?? instant?.time_s ?? null,
        sigmaS: mark === undefined ? (instant?.sigma_s ?? null) : null,
        machineFrame: instant?.frame ?? null,
        moved: mark !== undefined,
        missing: mark === undefined && instant === null ? (missing ?? "The machine did not look for it.") : null,
      },
    ];
  });
}

/** The marks of one swing with those on their way to the server: null takes the coach's away. */
export function marksNow(
  marks: readonly Mark[],
  marking: Readonly<Record<string, number | null>>,
  clipId: string,
  swing: number,
  times: readonly number[],
): Mark[] {
  const kept = marks.filter((mark) => mark.clip_id === clipId && mark.swing === swing && !(`${clipId}/${swing}/${mark.keyframe}` in marking));
  const coming = KEYFRAME_ORDER.flatMap((keyframe): Mark[] => {
    const frame = marking[`${clipId}/${swing}/${keyframe}`];
    return frame === undefined || frame === null ? [] : [{ clip_id: clipId, swing, keyframe, frame, time_s: times[frame] ?? 0 }];
  });
  return [...kept, ...coming];
}
