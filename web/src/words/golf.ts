import type { Band, Checkpoint, Hand, Purpose, Unit, View } from "../api/types";
import { ownLanguage, together, written, type Writing } from "./language.svelte";

/** Words for the ids of the trade. Ids go into code; people see words. */

export const VIEW_WORDS: Record<View, string> = {
  "face-on": "Face-on",
  "down-the-line": "Down-the-line",
};

export const PURPOSE_WORDS: Record<Purpose, { name: string; hint: string }> = {
  full: { name: "Full swing", hint: "Your normal swing" },
  rehearsal: { name: "Rehearsal", hint: "A practice movement, without striking" },
  pause: { name: "With a pause", hint: "You stop at a position, then carry on" },
  slow: { name: "Slow swing", hint: "You swing slowly on purpose" },
};

export const HAND_WORDS: Record<Hand, string> = {
  right: "Right-handed",
  left: "Left-handed",
};

export const KEYFRAME_ORDER = [
  "address",
  "takeaway",
  "hands_past_trail_leg",
  "lead_arm_parallel",
  "top",
  "lead_arm_parallel_down",
  "delivery",
  "impact",
  "finish",
] as const;

const KEYFRAME_WORDS: Record<string, string> = {
  address: "Address",
  takeaway: "Takeaway",
  hands_past_trail_leg: "Hands past trail leg",
  lead_arm_parallel: "Lead arm parallel",
  top: "Top",
  lead_arm_parallel_down: "Lead arm parallel, coming down",
  delivery: "Delivery",
  impact: "Impact",
  finish: "Finish",
};

/** For a strip with little room; whole words all the same. */
const KEYFRAME_BRIEFLY: Record<string, string> = {
  hands_past_trail_leg: "Past leg",
  lead_arm_parallel: "Arm level",
  lead_arm_parallel_down: "Level down",
};

const POINT_WORDS: Record<string, string> = {
  lead_shoulder: "Lead shoulder",
  lead_elbow: "Lead elbow",
  lead_wrist: "Lead wrist",
  trail_shoulder: "Trail shoulder",
  trail_wrist: "Trail wrist",
  lead_ear: "Lead ear",
  trail_ear: "Trail ear",
  lead_hip: "Lead hip",
  trail_hip: "Trail hip",
  trail_knee: "Trail knee",
  lead_ankle: "Lead ankle",
  trail_ankle: "Trail ankle",
  trail_toe: "Trail toe",
  butt: "Grip end",
  clubhead: "Clubhead",
  ball: "Ball",
};

/** "on target", "just off target", "off target", "too close to call", "no target": what a band says in words. */
export const BAND_WORDS: Record<Band, string> = {
  good: "On target",
  watch: "Just off target",
  outside: "Off target",
  too_close: "Too close to call",
  no_target: "No target",
};

export const keyframeWords = (id: string): string => KEYFRAME_WORDS[id] ?? spoken(id);
export const keyframeBriefly = (id: string): string => KEYFRAME_BRIEFLY[id] ?? keyframeWords(id);
export const pointWords = (id: string): string => POINT_WORDS[id] ?? spoken(id);

/** How a number is said. Mostly its unit; a tempo is a ratio that people say as "3 to 1". */
export type Measure = Unit | "to_one";

export const measureOf = (checkpoint: Pick<Checkpoint, "id" | "unit">): Measure =>
  checkpoint.id === "tempo_ratio" ? "to_one" : checkpoint.unit;

interface Saying {
  /** Stands right behind the digits, also at the ends of a target. */
  sign: string;
  /** Follows once, with its space. */
  words: string;
  digits: number;
  /** Plus and minus are different sides, so plus is written too. */
  signed: boolean;
  times: number;
}

const SAYINGS: Record<Measure, Saying> = {
  deg: { sign: "°", words: "", digits: 1, signed: false, times: 1 },
  grip: { sign: "", words: " grip lengths", digits: 2, signed: true, times: 1 },
  s: { sign: "", words: " seconds", digits: 2, signed: false, times: 1 },
  ratio: { sign: "", words: "", digits: 2, signed: false, times: 1 },
  to_one: { sign: "", words: " to 1", digits: 1, signed: false, times: 1 },
  stance: { sign: "", words: " stance widths", digits: 2, signed: true, times: 1 },
  head: { sign: "", words: " head heights", digits: 2, signed: true, times: 1 },
  shoulder: { sign: "", words: " shoulder widths", digits: 2, signed: true, times: 1 },
  stature: { sign: "%", words: " of your height", digits: 1, signed: true, times: 100 },
};

const UNIT_WORDS: Record<Measure, string> = {
  deg: "degrees",
  grip: "grip lengths",
  s: "seconds",
  ratio: "a share: 1 is all of it",
  to_one: "to 1",
  stance: "stance widths",
  head: "head heights",
  shoulder: "shoulder widths",
  stature: "% of the height",
};

/** "87.4°", "+0.42 grip lengths" (plus is the golfer's side of the line), "3.1 to 1", as the reader writes it. */
export const amount = (value: number, measure: Measure, language = ownLanguage()): string =>
  `${figure(value, measure, language)}${SAYINGS[measure].words}`;

/** The same without needless zeros, for a limit that somebody set: "1.5 seconds", "+0.5 grip lengths". */
export const limit = (value: number, measure: Measure, language = ownLanguage()): string =>
  `${figure(value, measure, language, { digits: FEW })}${SAYINGS[measure].words}`;

/** An end of a target, which is a plain number: "80°", "0", "1" (grip lengths), "4%". */
export const bound = (value: number, measure: Measure, language = ownLanguage()): string =>
  figure(value, measure, language, { digits: FEW, signed: false });

/** How much, without a side: "2.1°", "0.12 grip lengths". */
export const size = (value: number, measure: Measure, language = ownLanguage()): string =>
  `${figure(Math.abs(value), measure, language, { signed: false })}${SAYINGS[measure].words}`;

/** A number as somebody types it in the unit that is shown, and back into the checkpoint's own. */
export const toType = (value: number, measure: Measure): number => Number((value * SAYINGS[measure].times).toFixed(4));
export const fromTyped = (typed: number, measure: Measure): number => Number((typed / SAYINGS[measure].times).toFixed(6));

/** The unit alone, for a heading over numbers that are typed: "degrees", "% of the height". */
export const unitWords = (measure: Measure): string => UNIT_WORDS[measure];

/** A target in words: "80 to 100°", "0 to 1 grip lengths", "between 2.4 and 3.6 to 1". */
export function target(low: number, high: number, measure: Measure, language = ownLanguage()): string {
  const { times, words } = SAYINGS[measure];
  const from = together(written(low * times, { digits: FEW }, language), language);
  const to = bound(high, measure, language);
  return measure === "to_one" ? `between ${from} and ${to}${words}` : `${from} to ${to}${words}`;
}

/** "87.4°, give or take 4.1" (half of the 95 % interval). */
export function amountWithDoubt(value: number, low: number, high: number, measure: Measure, language = ownLanguage()): string {
  const { times, digits } = SAYINGS[measure];
  const doubt = together(written(((high - low) / 2) * times, { digits }, language), language);
  return `${amount(value, measure, language)}, give or take ${doubt}`;
}

/** The same for narrow places and trained eyes: "87.4° ± 4.1". */
export const amountBriefly = (value: number, low: number, high: number, measure: Measure, language = ownLanguage()): string =>
  amountWithDoubt(value, low, high, measure, language).replace(", give or take", " ±");

/** "83.3° to 91.5°", "between 2.8 and 3.4 to 1". */
export const range = (low: number, high: number, measure: Measure, language = ownLanguage()): string =>
  measure === "to_one"
    ? `between ${figure(low, measure, language)} and ${amount(high, measure, language)}`
    : `${figure(low, measure, language)} to ${figure(high, measure, language)}`;

/** No more digits than somebody set: 0.12 * 100 is 12. */
const FEW: [number, number] = [0, 4];

/** Rounded, with its sign and what stands right behind the digits. */
function figure(value: number, measure: Measure, language: string, otherwise: Partial<Writing> = {}): string {
  const { sign, digits, signed, times } = SAYINGS[measure];
  const percent = sign === "%"; // where and how the sign stands is the language's own
  const text = written(percent ? value : value * times, { digits, signed, percent, ...otherwise }, language);
  return together(percent ? text : `${text}${sign}`, language);
}

function spoken(id: string): string {
  const words = id.replaceAll("_", " ");
  return words.charAt(0).toUpperCase() + words.slice(1);
}
