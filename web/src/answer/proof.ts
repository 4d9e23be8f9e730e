import type { Asked, Band, Checkpoint, Verdict } from "../api/types";
import { ownLanguage } from "../words/language.svelte";
import { amountBriefly, amountWithDoubt, limit, measureOf, target, VIEW_WORDS } from "../words/golf";

/** What drills ask for, as it follows "asked for"; `…` is where the target goes. */
const ASKED_WORDS: Partial<Record<string, string>> = {
  lead_arm_shaft_angle: "a lead arm to shaft angle of …",
  butt_end_inside: "a grip end that points … inside the ball line",
  spine_tilt_change_at_impact: "a forward tilt that changes by … until impact",
  pause_length: "a pause of …",
  finish_hold: "a finish held for …",
  hands_over_trail_shoulder: "hands before the trail shoulder in that stop, at …",
};

/** Where a pause is asked for, as it follows "a pause of so long". */
const WHERE_WORDS: Partial<Record<string, string>> = {
  hands_past_trail_leg: "with your hands before the trail thigh",
  lead_arm_parallel: "with the lead arm level",
  top: "at the top",
};

const SHAFT_WORDS = "a stop with the shaft at …";

/** The marks that go with verdicts are those of the bands that say the same. */
export const VERDICT_MARKS: Record<Verdict, Band> = {
  met: "good",
  not_met: "outside",
  too_close: "too_close",
  not_seen: "no_target",
};

/** For the coach. */
export const VERDICT_WORDS: Record<Verdict, string> = {
  met: "Met",
  not_met: "Not met",
  too_close: "Too close to call",
  not_seen: "Could not be seen",
};

/** The checkpoint as this is told of it: how the shaft stood has a unit of its own. */
export const asAsked = (asked: Pick<Asked, "part" | "unit">, checkpoint: Checkpoint): Checkpoint =>
  asked.part === "shaft" ? { ...checkpoint, unit: asked.unit } : checkpoint;

/** "a lead arm to shaft angle of 80 to 100°", "a pause of at least 1.6 seconds with the lead arm level". */
export function askedWords(asked: Asked, checkpoint: Checkpoint, language = ownLanguage()): string {
  const words = asked.part === "shaft" ? SHAFT_WORDS : (ASKED_WORDS[asked.checkpoint] ?? `“${checkpoint.name}” at …`);
  const where = asked.where ? WHERE_WORDS[asked.where] : undefined;
  return [words.replace("…", limits(asked, asAsked(asked, checkpoint), language)), ...(where ? [where] : [])].join(" ");
}

/** The limits alone: "80 to 100°", "at least 1.6 seconds". */
export function limits({ least, most }: Pick<Asked, "least" | "most">, checkpoint: Checkpoint, language = ownLanguage()): string {
  const measure = measureOf(checkpoint);
  if (least !== null && most !== null) return target(least, most, measure, language);
  // Two limits say the unit once; one alone says it as a value does, without the needless zeros.
  const single = (value: number): string => limit(value, measure, language);
  if (least !== null) return `at least ${single(least)}`;
  return most === null ? "any" : `at most ${single(most)}`;
}

/** A verdict in the student's words, as it follows what was asked. */
export function verdictWords(verdict: Verdict, clips: number): string {
  switch (verdict) {
    case "met":
      return clips > 1 ? "your clips show it" : "this clip shows it";
    case "not_met":
      return "not yet";
    case "too_close":
      return "too close to call";
    case "not_seen":
      return "could not be seen";
  }
}

/** What was measured, with its doubt; empty where nothing was. */
export function seenWords({ value, low, high }: Pick<Asked, "value" | "low" | "high">, checkpoint: Checkpoint, brief: boolean, language = ownLanguage()): string {
  if (value === null || low === null || high === null) return "";
  return (brief ? amountBriefly : amountWithDoubt)(value, low, high, measureOf(checkpoint), language);
}

/** Which swing the verdict is of, and how many show it: "Swing 2, face-on: 1 of 3 swings shows it, 1 could not be seen". */
export function swingsWords(asked: Asked, checkpoint: Checkpoint, clips: number): string {
  const { view, swing, swings, swings_met: met, swings_unseen: unseen } = asked;
  // Answers from before every swing was read say none of it; a single swing needs no saying.
  if (view === null || swing === null || swings === null || met === null || unseen === null || swings < 2) return "";
  // How the shaft stood is told of the stop, which both views show.
  const showing = Math.min(clips, asked.part === "shaft" ? 2 : checkpoint.views.length);
  const of = [...(swings > showing ? [`swing ${swing + 1}`] : []), ...(showing > 1 ? [VIEW_WORDS[view].toLowerCase()] : [])].join(", ");
  const count = met === swings ? `all ${swings} swings show it` : met === 0 ? `none of ${swings} swings shows it` : `${met} of ${swings} swings ${met === 1 ? "shows" : "show"} it`;
  const rest = unseen > 0 ? `, ${unseen} could not be seen` : "";
  const words = asked.verdict === "not_seen" || of === "" ? `${count}${rest}` : `${of}: ${count}${rest}`;
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** Apart from its neighbours: a drill may ask for two things of one checkpoint. */
export const askedKey = ({ checkpoint, part }: Pick<Asked, "checkpoint" | "part">): string => `${checkpoint} ${part}`;

/** The reasons to show, one for each thing asked: one that several in a row share stands under the last. */
export const reasons = (asked: readonly Pick<Asked, "why">[]): string[] =>
  asked.map(({ why }, index) => (asked[index + 1]?.why === why ? "" : why));
