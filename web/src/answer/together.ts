import type { Checkpoint, Evidence, Together } from "../api/types";
import { ownLanguage, withNumbers } from "../words/language.svelte";
import { amount, amountBriefly, amountWithDoubt, measureOf, VIEW_WORDS } from "../words/golf";

/** What a finding rests on: "Chest turn with the lead arm level: 10.0°, give or take 5.9, face-on". */
export function evidenceWords(evidence: Evidence, checkpoint: Checkpoint, brief: boolean, language = ownLanguage()): string {
  const { value, low, high, missing, views } = evidence;
  const seen = views.map((view) => VIEW_WORDS[view].toLowerCase()).join(" and ");
  const say = brief ? amountBriefly : amountWithDoubt;
  const said =
    value === null || low === null || high === null
      ? withNumbers(missing ?? "no number", language).replace(/\.$/, "")
      : say(value, low, high, measureOf(checkpoint), language);
  return `${checkpoint.name}: ${said}${seen === "" ? "" : `, ${seen}`}`;
}

/** "2.5 to 1 face-on, 3.5 to 1 down-the-line". */
export function apartWords(apart: Together["disagreements"][number], checkpoint: Checkpoint, language = ownLanguage()): string {
  const measure = measureOf(checkpoint);
  return `${amount(apart.face_on, measure, language)} face-on, ${amount(apart.down_the_line, measure, language)} down-the-line`;
}

/** Which swing was read, where a clip has several; else nothing needs to be said. */
export const swingWords = (together: Together): string =>
  together.read_from.some((one) => one.swings > 1) ? "Read from the first swing of each clip." : "";

/** Clear findings first; otherwise the order they came in. */
export const clearFirst = (findings: Together["findings"]): Together["findings"] => [
  ...findings.filter((finding) => finding.sure),
  ...findings.filter((finding) => !finding.sure),
];
