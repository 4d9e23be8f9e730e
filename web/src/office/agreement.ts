import type { Agreed, Checkpoint } from "../api/types";
import { amount, measureOf, size } from "../words/golf";

/** Figures of agreement in words; each stands with its unit. */

/** "+1.2° (0.1° to 2.3°)": how much more the second coach reads. */
export function meanWords({ differences }: Agreed, checkpoint: Checkpoint): string {
  if (differences === null) return "";
  const measure = measureOf(checkpoint);
  const say = (value: number): string => (value > 0 ? "+" : "") + amount(value, measure).replace(/^\+/, "");
  return `${say(differences.mean)} (${say(differences.mean_interval.low)} to ${say(differences.mean_interval.high)})`;
}

/** "−4.1° to +6.5°": where 95 of 100 differences lie. */
export function limitsWords({ differences }: Agreed, checkpoint: Checkpoint): string {
  if (differences === null) return "";
  const measure = measureOf(checkpoint);
  return `${amount(differences.limits.low, measure)} to ${amount(differences.limits.high, measure)}`;
}

export const sdWords = ({ differences }: Agreed, checkpoint: Checkpoint): string =>
  differences === null ? "" : size(differences.sd, measureOf(checkpoint));

export const semWords = ({ reliability }: Agreed, checkpoint: Checkpoint): string =>
  reliability === null ? "" : size(reliability.sem, measureOf(checkpoint));

export const iccWords = ({ reliability }: Agreed): string => (reliability === null ? "" : reliability.icc.toFixed(2).replace("-", "−"));

/** Why there are no figures, or not all. */
export function whyNot({ reason, pairs }: Agreed, least: number): string {
  if (reason === "too_few") return `${pairs} of the ${least} pairs that it takes: so few would say more about chance than about coaches.`;
  if (reason === "no_spread") return "Every read said the same, so there is nothing to tell apart.";
  return "";
}

/** A share as it is typed, in percent, and back; null for what is none. */
export const toPercent = (share: number): number => Number((share * 100).toFixed(2));
export function fromPercent(typed: number | null): number | null {
  return typed === null || !Number.isFinite(typed) || typed < 0 || typed > 100 ? null : Number((typed / 100).toFixed(4));
}
