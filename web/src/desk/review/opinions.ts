import type { Checkpoint, Opinion, Reading } from "../../api/types";
import { amountBriefly, measureOf } from "../../words/golf";

/** A number as two coaches read it, in words; empty where one of them has none. */
export interface Beside {
  key: string;
  checkpoint: Checkpoint;
  swing: number;
  mine: string;
  theirs: string;
}

const keyOf = (reading: Reading): string => `${reading.clip_id}/${reading.swing}/${reading.checkpoint}`;

/** As it would be shown: what looks alike is no difference. */
function shown(reading: Reading | undefined, checkpoint: Checkpoint): string {
  if (reading?.value == null || reading.low === null || reading.high === null) return "";
  return amountBriefly(reading.value, reading.low, reading.high, measureOf(checkpoint));
}

/** A colleague's readings beside one's own, in the order of one's own: those that differ, and those that are alike. */
export function compared(mine: readonly Reading[], theirs: readonly Reading[], checkpoints: readonly Checkpoint[]): { differ: Beside[]; same: Beside[] } {
  const defined = new Map(checkpoints.map((one) => [one.id as string, one]));
  const other = new Map(theirs.map((one) => [keyOf(one), one]));
  const differ: Beside[] = [];
  const same: Beside[] = [];
  for (const reading of mine) {
    const checkpoint = defined.get(reading.checkpoint);
    if (checkpoint === undefined) continue;
    const [here, there] = [shown(reading, checkpoint), shown(other.get(keyOf(reading)), checkpoint)];
    if (here === "" && there === "") continue;
    (here === there ? same : differ).push({ key: keyOf(reading), checkpoint, swing: reading.swing, mine: here, theirs: there });
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
