import type { Checkpoint, Opinion, Reading } from "../../api/types";
import { amountBriefly, measureOf } from "../../words/golf";

/** A number that two coaches read otherwise, in words; empty where one of them has none. */
export interface Differing {
  key: string;
  checkpoint: Checkpoint;
  swing: number;
  clipId: string;
  mine: string;
  theirs: string;
}

const keyOf = (reading: Reading): string => `${reading.clip_id}/${reading.swing}/${reading.checkpoint}`;

/** As it would be shown: what looks alike is no difference. */
function shown(reading: Reading | undefined, checkpoint: Checkpoint): string {
  if (reading?.value == null || reading.low === null || reading.high === null) return "";
  return amountBriefly(reading.value, reading.low, reading.high, measureOf(checkpoint));
}

/** Where a colleague's readings differ from one's own, in the order of one's own; and how many are the same. */
export function compared(mine: readonly Reading[], theirs: readonly Reading[], checkpoints: readonly Checkpoint[]): { differ: Differing[]; same: number } {
  const defined = new Map(checkpoints.map((one) => [one.id as string, one]));
  const other = new Map(theirs.map((one) => [keyOf(one), one]));
  const differ: Differing[] = [];
  let same = 0;
  for (const reading of mine) {
    const checkpoint = defined.get(reading.checkpoint);
    if (checkpoint === undefined) continue;
    const [here, there] = [shown(reading, checkpoint), shown(other.get(keyOf(reading)), checkpoint)];
    if (here === "" && there === "") continue;
    if (here === there) same += 1;
    else differ.push({ key: keyOf(reading), checkpoint, swing: reading.swing, clipId: reading.clip_id, mine: here, theirs: there });
  }
  return { differ, same };
}

/** Where a question stands. */
export function standingOf(opinion: Opinion): string {
  const who = opinion.reader?.name ?? opinion.question.of?.name ?? "A colleague";
  if (opinion.state === "claimed") return `${who} is looking at it.`;
  if (opinion.state === "answered") return `${who} has answered.`;
  if (opinion.state === "closed") return "It ended without an answer.";
  return opinion.question.of === null ? "It waits in every colleague’s queue." : `It waits in ${opinion.question.of.name}’s queue.`;
}

export const isOpen = (opinion: Opinion): boolean => opinion.state === "waiting" || opinion.state === "claimed";
