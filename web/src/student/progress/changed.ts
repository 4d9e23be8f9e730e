import type { Changed } from "../../api/types";
import { size, type Measure } from "../../words/golf";

/** What a change means in one sentence: nothing is called better or worse that measuring twice could explain. */
export function changedWords(changed: Changed, measure: Measure): string {
  // "3 to 1" differs from "2.8 to 1" by 0.2, not by "0.2 to 1".
  const unit = measure === "to_one" ? "ratio" : measure;
  const by = size(changed.difference, unit);
  const noise = `measuring twice can differ by ${size(changed.least, unit)}`;
  switch (changed.moved) {
    case "not_clear":
      return `No clear change since the clip before: it differs by ${by}, and ${noise}.`;
    case "nearer":
      return `Nearer to the target by ${by} since the clip before. That is real: ${noise}.`;
    case "farther":
      return `Farther from the target by ${by} since the clip before. That is real: ${noise}.`;
    case "within":
      return `Changed by ${by} since the clip before, and on target both times; ${noise}.`;
    case "changed":
      return `${changed.difference > 0 ? "Up" : "Down"} by ${by} since the clip before. That is real: ${noise}.`;
  }
}

/** What is best told first: what really moved, then what was filmed most often. */
export const interest = (changed: Changed | null): number =>
  changed === null ? 0 : changed.moved === "not_clear" ? 1 : changed.moved === "within" ? 2 : 3;

/** How the numbers of one kind of swing went, in a sentence; `compared`: what each one's newest two clips say. */
export function movedWords(compared: readonly (Changed | null)[]): string {
  if (compared.every((one) => one === null)) return "There is nothing to compare yet: that takes two answered clips of this swing with the same club.";
  const moved = compared.filter((one) => interest(one) === 3).length;
  if (moved === 0) return "No number has clearly changed since the clip before. That is normal in the first weeks.";
  return moved === 1 ? "One number has really changed since the clip before." : `${moved} numbers have really changed since the clip before.`;
}
