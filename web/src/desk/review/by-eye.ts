import type { ByEye, EyeSeen } from "../../api/types";
import type { EyeRow } from "../../answer/by-eye";

/** Ticks of what is judged by eye, as functions from ticks to ticks. Twin of api/domain/by_eye.py. */

export const LONGEST_EYE_WORDS = 80;

export interface SwingOf {
  clipId: string;
  swing: number;
}

const isOf = (one: ByEye, { clipId, swing }: SwingOf, row: Pick<EyeRow, "keyframe" | "item">): boolean =>
  one.clip_id === clipId && one.swing === swing && one.keyframe === row.keyframe && one.item === row.item;

export const tickOf = (ticks: readonly ByEye[], of: SwingOf, row: Pick<EyeRow, "keyframe" | "item">): ByEye | null =>
  ticks.find((one) => isOf(one, of, row)) ?? null;

/** Everything ticked so far with one thing called `seen`; called so already, the tick is taken off, word and all. */
export function ticked(ticks: readonly ByEye[], of: SwingOf, { keyframe, item }: Pick<EyeRow, "keyframe" | "item">, seen: EyeSeen): ByEye[] {
  const row = { keyframe, item };
  const now = tickOf(ticks, of, row);
  const rest = ticks.filter((one) => one !== now);
  return now?.seen === seen ? rest : [...rest, { clip_id: of.clipId, swing: of.swing, keyframe, item, seen, words: now?.words ?? "" }];
}

export const withWords = (ticks: readonly ByEye[], one: ByEye, words: string): ByEye[] =>
  ticks.map((other) => (other === one ? { ...other, words } : other));

export const ofSwing = (ticks: readonly ByEye[], of: SwingOf): number => ticks.filter((one) => one.clip_id === of.clipId && one.swing === of.swing).length;
