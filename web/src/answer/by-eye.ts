import type { ByEye, EyeItem, EyeSeen, KeyframeId } from "../api/types";
import { keyframeWords } from "../words/golf";

/** What a coach judges by eye. Twin of api/domain/by_eye.py. */
export interface EyeRow {
  keyframe: KeyframeId;
  item: EyeItem;
  choices: readonly EyeSeen[];
}

const FACES: readonly EyeSeen[] = ["open", "square", "closed"];

/** In the order of the swing. */
export const EYE_ROWS: readonly EyeRow[] = [
  { keyframe: "address", item: "grip", choices: ["weak", "neutral", "strong"] },
  { keyframe: "lead_arm_parallel", item: "face", choices: FACES },
  { keyframe: "top", item: "face", choices: FACES },
  { keyframe: "top", item: "lead_wrist", choices: ["flat", "cupped", "bowed"] },
];

const ITEM_WORDS: Record<EyeItem, string> = { face: "Clubface", lead_wrist: "Lead wrist", grip: "Grip" };

export const SEEN_WORDS: Record<EyeSeen, string> = {
  open: "Open",
  square: "Square",
  closed: "Closed",
  flat: "Flat",
  cupped: "Cupped",
  bowed: "Bowed",
  weak: "Weak",
  neutral: "Neutral",
  strong: "Strong",
};

/** "Clubface at lead arm parallel". */
export const eyeWords = ({ item, keyframe }: Pick<EyeRow, "item" | "keyframe">): string =>
  `${ITEM_WORDS[item]} at ${keyframeWords(keyframe).toLowerCase()}`;

/** In the order of the clips, the swings and the swing itself, whatever was ticked first. */
export function inOrder(ticks: readonly ByEye[], clipIds: readonly string[]): ByEye[] {
  const row = (one: ByEye): number => EYE_ROWS.findIndex((item) => item.keyframe === one.keyframe && item.item === one.item);
  const place = (one: ByEye): number => (clipIds.indexOf(one.clip_id) * 1000 + one.swing) * EYE_ROWS.length + row(one);
  return [...ticks].sort((one, other) => place(one) - place(other));
}
