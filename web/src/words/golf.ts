import type { Band, Hand, Purpose, Unit, View } from "../api/types";

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

const POINT_WORDS: Record<string, string> = {
  lead_shoulder: "Lead shoulder",
  lead_elbow: "Lead elbow",
  lead_wrist: "Lead wrist",
  trail_shoulder: "Trail shoulder",
  trail_wrist: "Trail wrist",
  butt: "Grip end",
  clubhead: "Clubhead",
  ball: "Ball",
};

/** "on target", "just off target", "off target", "too close to call": what a band says in words. */
export const BAND_WORDS: Record<Band, string> = {
  good: "On target",
  watch: "Just off target",
  outside: "Off target",
  too_close: "Too close to call",
};

export const keyframeWords = (id: string): string => KEYFRAME_WORDS[id] ?? spoken(id);
export const pointWords = (id: string): string => POINT_WORDS[id] ?? spoken(id);

/** "87.4°" or "+0.42 grip lengths". Grips carry a sign: plus is the golfer's side of the line. */
export function amount(value: number, unit: Unit): string {
  return unit === "deg" ? `${value.toFixed(1)}°` : `${signed(value)} grip lengths`;
}

/** An end of a target, which is a plain number: "80°", "0", "1" (grip lengths). */
export const bound = (value: number, unit: Unit): string =>
  `${String(value).replace("-", "\u2212")}${unit === "deg" ? "°" : ""}`;

/** A target in words: "80 to 100°", "0 to 1 grip lengths". */
export const target = (low: number, high: number, unit: Unit): string =>
  `${bound(low, unit).replace("°", "")} to ${bound(high, unit)}${unit === "deg" ? "" : " grip lengths"}`;

/** "87.4°, give or take 4.1" (half of the 95 % interval). */
export function amountWithDoubt(value: number, low: number, high: number, unit: Unit): string {
  const half = (high - low) / 2;
  return `${amount(value, unit)}, give or take ${unit === "deg" ? half.toFixed(1) : half.toFixed(2)}`;
}

/** "83.3° to 91.5°". */
export function range(low: number, high: number, unit: Unit): string {
  if (unit === "deg") return `${low.toFixed(1)}° to ${high.toFixed(1)}°`;
  return `${signed(low)} to ${signed(high)}`;
}

function signed(value: number): string {
  const digits = value.toFixed(2);
  if (Number(digits) === 0) return "0.00";
  return value > 0 ? `+${digits}` : `\u2212${digits.slice(1)}`;
}

function spoken(id: string): string {
  const words = id.replaceAll("_", " ");
  return words.charAt(0).toUpperCase() + words.slice(1);
}
