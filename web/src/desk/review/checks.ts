import type { DraftWords, Drill, Review } from "../../api/types";
import type { StudentProfile } from "../../api/joining";
import type { ReviewDesk } from "./desk.svelte";
import { localDay } from "../../words/times";
import { doseFaults } from "./dose";
import { isOpen, linesOf } from "./judging";
import { GAP } from "./phrases";

/** What to look at before an answer goes out. `blocks`: the server would refuse it too. */
export interface Check {
  words: string;
  blocks: boolean;
}

/** What is known of the student: whether a child, who reads along, and where consent stands. */
export type Whom = Pick<StudentProfile, "child" | "guardian" | "consent">;

/** `draft`: as it stands on the page, with fields of a dose that are not finished. `begun`: what is in forms beside it. */
export function checksOf(
  review: Review,
  draft: DraftWords,
  library: readonly Drill[],
  whom: Whom | null = null,
  today: Date = new Date(),
  begun: ReviewDesk["begun"] = {},
): Check[] {
  const checks: Check[] = [];
  const say = (words: string, blocks = false): unknown => checks.push({ words, blocks });
  if (whom !== null && whom.consent !== "valid") say(consentWords(whom), true);
  else if (whom?.child) say(`A child: ${whom.guardian ?? "the guardian"} reads what you send.`);
  if (review.corrects !== null && draft.what_changed.trim() === "") say("Say what has changed: the student has read the answer from before.", true);
  if (draft.text.trim() === "") say("Write at least the one main thing before you send.", true);
  if (begun.finding) say(`“${begun.finding}” is written as a finding of your own and not added.`);
  if (begun.label) say(`“${begun.label}” is written as a label and not placed.`);
  const gap = draft.text.match(GAP);
  if (gap) say(`${gap[0]} was not filled.`);
  const open = linesOf(review.findings, draft.judgements, String).filter(isOpen).length;
  if (open > 0) say(`${open} ${open === 1 ? "finding is" : "findings are"} open and will be told as too close to call.`);
  if (draft.text.trim() !== "" && draft.drills.length === 0) say("There is no drill: nothing to practise until the next clip.");
  const day = localDay(today);
  for (const chosen of draft.drills) {
    const drill = library.find((one) => one.id === chosen.drill_id);
    const name = drill?.name ?? chosen.drill_id;
    for (const { words } of doseFaults(chosen)) say(`${name}: ${words.charAt(0).toLowerCase()}${words.slice(1)}`, true);
    if (drill === undefined) continue;
    if (drill.caution.trim() === "") say(`${drill.name} has no caution, and none goes out without.`, true);
    if (chosen.until !== null && chosen.until < day) say(`${drill.name} ended before today.`);
  }
  return checks;
}

/** Why nothing may go out yet; the office can do something about it. */
function consentWords({ child, guardian, consent }: Whom): string {
  if (!child) return "The student's consent is missing, so nothing can be sent. What you wrote is kept; the office can ask.";
  if (consent === "guardian_missing") return "A child without a guardian: nothing can be sent. What you wrote is kept; the office can name one.";
  return `A child, and ${guardian ?? "the guardian"} has not agreed: nothing can be sent. What you wrote is kept; the office can ask again.`;
}
