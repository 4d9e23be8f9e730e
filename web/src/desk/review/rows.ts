import type { Checkpoint, MachineReading, MissingThing, PlacedPoint, Reading, Review, View, Xy } from "../../api/types";
import { judgedBy } from "../../answer/told";
import { liveReading, placesOf, pointsNow, startingFrom, type LiveReading, type Tracked } from "./live";

/** A number of the review with everything the desk needs to show it and change it. */
export interface Row {
  checkpoint: Checkpoint;
  reading: Reading;
  view: View;
  live: LiveReading;
  machine: MachineReading | MissingThing | undefined;
  placed: PlacedPoint[];
  moving: Record<string, Xy | null>;
  /** Where the machine has its points on that frame; null while the page does not know. */
  machineAt: Record<string, Xy> | null;
  /** Needed points that nobody has found or placed. */
  lacking: string[];
  /** It is read on the very frame on show. */
  here: boolean;
  /** It belongs to the clip and the swing on show. */
  onShow: boolean;
  /** The frame it is read on; null when it has none. */
  frame: number | null;
  /** A coach may move its points: it has some, and its frame is that of a keyframe. */
  movable: boolean;
}

export const rowKey = ({ reading }: Row): string => `${reading.clip_id}/${reading.swing}/${reading.checkpoint}`;

/**
 * The number whose points are on the picture: the one the coach took in hand, else a main one.
 * Only one at a time: the points of different numbers would lie on top of each other.
 */
export function rowInHand(rows: readonly Row[], wanted: string | null): Row | undefined {
  const here = rows.filter((row) => row.here && row.checkpoint.points.length > 0);
  return here.find((row) => rowKey(row) === wanted) ?? here.find((row) => row.checkpoint.main);
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
    const defined = checkpoints.find((item) => item.id === given.checkpoint);
    const checkpoint = defined && judgedBy(defined, given.own_bands);
    const clip = review.submission.clips.find((item) => item.id === given.clip_id);
    if (checkpoint === undefined || clip === undefined || !checkpoint.views.includes(clip.view)) return [];
    const onShow = given.clip_id === spot.clipId && given.swing === spot.swing;
    const frame = frameOf(review, given, checkpoint);
    const here = onShow && frame === spot.frame;
    const movable = checkpoint.points.length > 0 && checkpoint.moment === "";
    const reading = here ? startingFrom(checkpoint, given, spot.tracked) : given;
    const swing = clip.measurement?.swings[reading.swing];
    const placed = placedFor(review, reading, checkpoint);
    const onTheMove = movable ? movingAt(moving, reading, checkpoint) : {};
    const width = clip.measurement?.clip.width ?? 0;
    const machine = swing?.checkpoints[checkpoint.id];
    const machineAt = machineAtOf(machine, reading, here ? spot.tracked : {});
    const there = pointsNow(reading, onTheMove, machineAt);
    return [
      {
        checkpoint,
        reading,
        view: clip.view,
        live: liveReading(checkpoint, reading, placed, onTheMove, review.submission.handed, width, machineAt),
        machine,
        placed,
        moving: onTheMove,
        machineAt,
        lacking: checkpoint.points.filter((name) => there[name] === undefined),
        here,
        onShow,
        frame,
        movable,
      },
    ];
  });
}

/** The frame a number is read on: its own, or that of its keyframe when there is no number yet. */
function frameOf(review: Review, reading: Reading, checkpoint: Checkpoint): number | null {
  if (reading.frame !== null) return reading.frame;
  if (checkpoint.moment !== "") return null;
  const mark = review.draft.marks.find(
    (item) => item.clip_id === reading.clip_id && item.swing === reading.swing && item.keyframe === checkpoint.keyframe,
  );
  if (mark) return mark.frame;
  const clip = review.submission.clips.find((item) => item.id === reading.clip_id);
  const found = clip?.measurement?.swings[reading.swing]?.keyframes[checkpoint.keyframe];
  return found !== undefined && "frame" in found ? found.frame : null;
}

/** The machine's own points: those of its number where it read that on this frame, and what it tracked on the frame on show. */
function machineAtOf(
  machine: MachineReading | MissingThing | undefined,
  reading: Reading,
  tracked: Readonly<Record<string, Tracked>>,
): Record<string, Xy> | null {
  const read = machine !== undefined && "points" in machine && machine.frame === reading.frame ? machine.points : {};
  const known = { ...placesOf(tracked), ...read };
  return Object.keys(known).length === 0 ? null : known;
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

/** The points on the move that this number is read from. */
function movingAt(
  moving: Readonly<Record<string, Xy | null>>,
  reading: Reading,
  checkpoint: Checkpoint,
): Record<string, Xy | null> {
  const place = `${reading.clip_id}/${reading.swing}/${checkpoint.keyframe}`;
  return Object.fromEntries(
    checkpoint.points.flatMap((name) => {
      const at = moving[`${place}/${name}`];
      return at === undefined ? [] : [[name, at]];
    }),
  );
}
