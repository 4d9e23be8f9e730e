import type { Place } from "../../api/calls";
import type { DraftWords, Xy } from "../../api/types";

export type Part = keyof DraftWords;

/** Of one part of the draft, whole before and after. `what`: the one thing in it that changed, where a run of changes of it may join. */
export type DraftEdit = { [One in Part]: { kind: "draft"; part: One; from: DraftWords[One]; to: DraftWords[One]; what?: string } }[Part];

/** One of the picture: each goes to the server by itself, in the order they were made. Null on either side means: as the machine has it. */
export type PictureEdit =
  | { kind: "point"; place: Place; point: string; from: Xy | null; to: Xy | null }
  | { kind: "mark"; place: Place; from: number | null; to: number | null };

/** One step of a coach's: `several` changes of the picture that were asked for with one press go back with one. */
export type Edit = DraftEdit | PictureEdit | { kind: "several"; edits: readonly PictureEdit[] };

/** The edit that takes `edit` back. */
export function inverse(edit: Edit): Edit {
  if (edit.kind === "several") return { ...edit, edits: edit.edits.map((one) => inverse(one) as PictureEdit).reverse() };
  return { ...edit, from: edit.to, to: edit.from } as Edit;
}

/** What one thing in a part of the draft an edit changed; null for several, or for parts that do not say. */
const whatOf = (edit: Edit): string | null => (edit.kind === "draft" && edit.what !== undefined ? `${edit.part}/${edit.what}` : null);

const sameThing = (one: Edit, other: Edit): boolean =>
  (whatOf(one) !== null && whatOf(one) === whatOf(other)) || samePlace(one, other);

const samePlace = (one: Edit, other: Edit): boolean =>
  one.kind !== "draft" &&
  one.kind !== "several" &&
  other.kind !== "several" &&
  one.kind === other.kind &&
  one.place.clipId === other.place.clipId &&
  one.place.swing === other.place.swing &&
  one.place.keyframe === other.place.keyframe &&
  (one.kind !== "point" || one.point === (other as typeof one).point);

/** What was done and what was undone, newest last. */
export interface History {
  done: readonly Edit[];
  undone: readonly Edit[];
  /** Whether the newest edit is a run of nudges or letters, which the next one goes on with. */
  running: boolean;
}

export const EMPTY_HISTORY: History = { done: [], undone: [], running: false };

/**
 * Add an edit. `merge` joins it to the newest one when both are nudges of the same thing: a run of
 * nudges with the arrow keys is one step back, not thirty, and so are the letters of a word. A drag before it stays a
 * step of its own. A run that comes back to where it began is none.
 */
export function record(history: History, edit: Edit, merge = false): History {
  const last = history.done.at(-1);
  if (merge && edit.kind !== "several" && history.running && last !== undefined && sameThing(last, edit)) {
    const before = history.done.slice(0, -1);
    const joined = { ...edit, from: (last as typeof edit).from };
    if (JSON.stringify(joined.from) === JSON.stringify(joined.to)) return { done: before, undone: [], running: false };
    return { done: [...before, joined as Edit], undone: [], running: true };
  }
  return { done: [...history.done, edit], undone: [], running: merge };
}

/** The hand rested or went elsewhere: what follows is a step of its own. */
export const rested = (history: History): History => ({ ...history, running: false });

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
