import type { Place } from "../../api/calls";
import type { ByEye, Drawing, DrillChoice, Judged, Xy } from "../../api/types";

/** One change a coach made. Of the picture, null on either side means: as the machine has it. */
export type Edit =
  | { kind: "draft"; part: "judgements"; from: Judged[]; to: Judged[] }
  | { kind: "draft"; part: "drills"; from: DrillChoice[]; to: DrillChoice[] }
  | { kind: "draft"; part: "by_eye"; from: ByEye[]; to: ByEye[]; what?: string }
  | { kind: "draft"; part: "drawings"; from: Drawing[]; to: Drawing[]; what?: string }
  | { kind: "point"; place: Place; point: string; from: Xy | null; to: Xy | null }
  | { kind: "mark"; place: Place; from: number | null; to: number | null };

/** One of the picture: each goes to the server by itself, in the order they were made. */
export type PictureEdit = Exclude<Edit, { kind: "draft" }>;

/** The edit that takes `edit` back. */
export function inverse(edit: Edit): Edit {
  return { ...edit, from: edit.to, to: edit.from } as Edit;
}

/** What one thing in a part of the draft an edit changed; null for several, or for parts that do not say. */
const whatOf = (edit: Edit): string | null => (edit.kind === "draft" && "what" in edit && edit.what !== undefined ? `${edit.part}/${edit.what}` : null);

const sameThing = (one: Edit, other: Edit): boolean =>
  (whatOf(one) !== null && whatOf(one) === whatOf(other)) || samePlace(one, other);

const samePlace = (one: Edit, other: Edit): boolean =>
  one.kind !== "draft" &&
  one.kind === other.kind &&
  one.place.clipId === other.place.clipId &&
  one.place.swing === other.place.swing &&
  one.place.keyframe === other.place.keyframe &&
  (one.kind !== "point" || one.point === (other as typeof one).point);

/** What was done and what was undone, newest last. */
export interface History {
  done: readonly Edit[];
  undone: readonly Edit[];
  /** Whether the newest edit is a run of nudges, which the next nudge goes on with. */
  running: boolean;
}

export const EMPTY_HISTORY: History = { done: [], undone: [], running: false };

/**
 * Add an edit. `merge` joins it to the newest one when both are nudges of the same thing: a run of
 * nudges with the arrow keys is one step back, not thirty. A drag before it stays a step of its own.
 */
export function record(history: History, edit: Edit, merge = false): History {
  const last = history.done.at(-1);
  if (merge && history.running && last !== undefined && sameThing(last, edit)) {
    const joined = { ...edit, from: last.from } as Edit;
    return { done: [...history.done.slice(0, -1), joined], undone: [], running: true };
  }
  return { done: [...history.done, edit], undone: [], running: merge };
}

/** Step back: the history after it, and the edit to carry out. Null when there is nothing. */
export function undo(history: History): { history: History; edit: Edit } | null {
  const last = history.done.at(-1);
  if (last === undefined) return null;
  return {
    history: { done: history.done.slice(0, -1), undone: [...history.undone, last], running: false },
    edit: inverse(last),
  };
}

/** Step forward again. */
export function redo(history: History): { history: History; edit: Edit } | null {
  const last = history.undone.at(-1);
  if (last === undefined) return null;
  return {
    history: { done: [...history.done, last], undone: history.undone.slice(0, -1), running: false },
    edit: last,
  };
}
