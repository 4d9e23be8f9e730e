import type { DraftWords, Review, Xy } from "../../api/types";
import { keyframeWords, pointWords } from "../../words/golf";
import type { Edit, Part, PictureEdit } from "./edits";
import type { KeptEdit } from "./keep";

/** Bringing together what a coach typed here and what the server has by now. Nothing is overwritten unseen. */

const PARTS = ["text", "later", "judgements", "by_eye", "drawings", "drills", "what_changed"] as const;

const alike = (one: unknown, other: unknown): boolean => JSON.stringify(one) === JSON.stringify(other);

export const wordsOfDraft = ({ text, later, judgements, by_eye, drawings, drills, what_changed }: DraftWords): DraftWords => ({
  text,
  later: [...later],
  judgements: judgements.map((one) => ({ ...one })),
  by_eye: by_eye.map((one) => ({ ...one })),
  drawings: drawings.map((one) => ({ ...one })),
  drills: drills.map((one) => ({ ...one })),
  what_changed,
});

export const sameWords = (one: DraftWords, other: DraftWords): boolean => PARTS.every((part) => alike(one[part], other[part]));

/**
 * Part by part: what only one side changed is taken from it. `clash` when both changed a part, or when nobody
 * knows what it was before; the server's is then what shows.
 */
export function mergeWords(mine: DraftWords, base: DraftWords | null, server: DraftWords): { words: DraftWords; clash: boolean } {
  const words = wordsOfDraft(server);
  let clash = false;
  for (const part of PARTS) {
    if (alike(mine[part], server[part]) || alike(mine[part], base?.[part])) continue;
    if (base !== null && alike(base[part], server[part])) Object.assign(words, { [part]: mine[part] });
    else clash = true;
  }
  return { words, clash };
}

/** What the draft has at the place of an edit: a frame or a point of the coach's, null for the machine's. */
export function standing(draft: Review["draft"], edit: PictureEdit): number | Xy | null {
  const here = (one: { clip_id: string; swing: number; keyframe: string }): boolean =>
    one.clip_id === edit.place.clipId && one.swing === edit.place.swing && one.keyframe === edit.place.keyframe;
  if (edit.kind === "mark") return draft.marks.find(here)?.frame ?? null;
  const point = draft.points.find((one) => here(one) && one.point === edit.point);
  return point === undefined ? null : [point.x, point.y];
}

const thingOf = (edit: PictureEdit): string =>
  JSON.stringify([edit.place.clipId, edit.place.swing, edit.place.keyframe, edit.kind === "point" ? edit.point : null]);
const placeOf = (edit: PictureEdit): string => JSON.stringify([edit.place.clipId, edit.place.swing, edit.place.keyframe]);

/**
 * Which of the changes made here still fit what the server has now. One does not where somebody else has changed
 * the same thing meanwhile, and then no point does that was placed on the frame of a moment that does not.
 */
export function sortEdits(edits: readonly KeptEdit[], draft: Review["draft"]): { fit: KeptEdit[]; clash: KeptEdit[] } {
  const fit: KeptEdit[] = [];
  const clash: KeptEdit[] = [];
  const moments = new Set<string>();
  for (const one of edits) {
    const now = standing(draft, one.edit);
    const ours = edits.filter((other) => thingOf(other.edit) === thingOf(one.edit));
    const fits = ours.some((other) => alike(now, other.was) || alike(now, other.edit.to)) && !moments.has(placeOf(one.edit));
    (fits ? fit : clash).push(one);
    if (!fits && one.edit.kind === "mark") moments.add(placeOf(one.edit));
  }
  return { fit, clash };
}

/** "Clubhead at top": what an edit was of, for whoever made it. */
export function nameOfEdit(edit: PictureEdit): string {
  const where = keyframeWords(edit.place.keyframe).toLowerCase();
  const swing = edit.place.swing > 0 ? `, swing ${edit.place.swing + 1}` : "";
  return edit.kind === "mark" ? `The moment of ${where}${swing}` : `${pointWords(edit.point)} at ${where}${swing}`;
}

const PART_WORDS: Readonly<Record<Part, string>> = {
  text: "the words",
  later: "what is for later",
  judgements: "what is said to a finding",
  by_eye: "what is judged by eye",
  drawings: "a drawing",
  drills: "a drill",
  what_changed: "what has changed",
};

/** What a step back or forth was of, to go on after "Undone: ". */
export function stepWords(edit: Edit): string {
  if (edit.kind === "draft") return PART_WORDS[edit.part];
  const [first] = edit.kind === "several" ? edit.edits : [edit];
  if (first === undefined) return "nothing";
  const one = nameOfEdit(first);
  const many = edit.kind === "several" ? edit.edits.length : 1;
  const name = one.charAt(0).toLowerCase() + one.slice(1);
  return many > 1 ? `${name} and ${many - 1} more` : name;
}
