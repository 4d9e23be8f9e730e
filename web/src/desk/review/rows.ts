import type { Checkpoint, MachineReading, MissingThing, PlacedPoint, Reading, Review, Xy } from "../../api/types";
import { liveReading, pointsNow, startingFrom, type LiveReading, type Tracked } from "./live";

/** A number of the review with everything the desk needs to show it and change it. */
export interface Row {
  checkpoint: Checkpoint;
  reading: Reading;
  live: LiveReading;
  machine: MachineReading | MissingThing | undefined;
  placed: PlacedPoint[];
  moving: Record<string, Xy | null>;
  /** Needed points that nobody has found or placed. */
  lacking: string[];
  /** It is read on the very frame on show. */
  here: boolean;
}

export interface Spot {
  clipId: string;
  swing: number;
  frame: number;
  /** What the machine tracked on that frame. */
  tracked: Readonly<Record<string, Tracked>>;
}

export function rowsOf(
  review: Review,
  checkpoints: readonly Checkpoint[],
  moving: Readonly<Record<string, Xy | null>>,
  spot: Spot,
): Row[] {
  return review.readings.flatMap((given) => {
    const checkpoint = checkpoints.find((item) => item.id === given.checkpoint);
    const clip = review.submission.clips.find((item) => item.id === given.clip_id);
    if (checkpoint === undefined || clip === undefined || clip.view !== checkpoint.view) return [];
    const here =
      given.clip_id === spot.clipId && given.swing === spot.swing && frameOf(review, given, checkpoint) === spot.frame;
    const reading = here ? startingFrom(checkpoint, given, spot.tracked) : given;
    const swing = clip.measurement?.swings[reading.swing];
    const placed = placedFor(review, reading, checkpoint);
    const onTheMove = movingAt(moving, `${reading.clip_id}/${reading.swing}/${checkpoint.keyframe}/`);
    const width = clip.measurement?.clip.width ?? 0;
    const there = pointsNow(reading, onTheMove);
    return [
      {
        checkpoint,
        reading,
        live: liveReading(checkpoint, reading, placed, onTheMove, review.submission.handed, width),
        machine: swing?.checkpoints[checkpoint.id],
        placed,
        moving: onTheMove,
        lacking: checkpoint.points.filter((name) => there[name] === undefined),
        here,
      },
    ];
  });
}

/** The frame a number is read on: its own, or that of its keyframe when there is no number yet. */
function frameOf(review: Review, reading: Reading, checkpoint: Checkpoint): number | null {
  if (reading.frame !== null) return reading.frame;
  const mark = review.draft.marks.find(
    (item) => item.clip_id === reading.clip_id && item.swing === reading.swing && item.keyframe === checkpoint.keyframe,
  );
  if (mark) return mark.frame;
  const clip = review.submission.clips.find((item) => item.id === reading.clip_id);
  const found = clip?.measurement?.swings[reading.swing]?.keyframes[checkpoint.keyframe];
  return found !== undefined && "frame" in found ? found.frame : null;
}

/** The coach's points that this number is read from. Those left on another frame do not count. */
function placedFor(review: Review, reading: Reading, checkpoint: Checkpoint): PlacedPoint[] {
  return review.draft.points.filter(
    (item) =>
      item.clip_id === reading.clip_id &&
      item.swing === reading.swing &&
      item.keyframe === checkpoint.keyframe &&
      item.frame === reading.frame &&
      checkpoint.points.includes(item.point),
  );
}

function movingAt(moving: Readonly<Record<string, Xy | null>>, prefix: string): Record<string, Xy | null> {
  return Object.fromEntries(
    Object.entries(moving).flatMap(([key, at]) => (key.startsWith(prefix) ? [[key.slice(prefix.length), at]] : [])),
  );
}
