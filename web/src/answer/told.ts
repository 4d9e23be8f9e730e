import type { Adjusted, Checkpoint, OwnBands, Reading } from "../api/types";
import { ownLanguage } from "../words/language.svelte";
import { amountWithDoubt, measureOf, size, target } from "../words/golf";

/** A number as it is told: what coaches' corrections moved, and the target it is held against. */

/** The checkpoint as this student is judged by it: with their own target where they have one. */
export function judgedBy(checkpoint: Checkpoint, own: OwnBands | null): Checkpoint {
  if (own === null) return checkpoint;
  const { watch_low, good_low, good_high, watch_high } = own;
  return { ...checkpoint, bands: { watch_low, good_low, good_high, watch_high } };
}

const times = (count: number): string => `${count} ${count === 1 ? "correction" : "corrections"}`;

/** "2.1° taken off", "0.12 grip lengths added": what became of the machine's number. */
function moved(adjusted: Adjusted, checkpoint: Checkpoint, language: string): string {
  const act = adjusted.bias < 0 ? "added" : "taken off";
  return `${size(adjusted.bias, measureOf(checkpoint), language)} ${act}`;
}

const machineSaid = ({ machine_value, machine_low, machine_high }: Adjusted, checkpoint: Checkpoint, language: string): string =>
  amountWithDoubt(machine_value, machine_low, machine_high, measureOf(checkpoint), language);

/** For the coach. */
export const adjustedWords = (adjusted: Adjusted, checkpoint: Checkpoint, language = ownLanguage()): string =>
  `Adjusted by the coaches' ${times(adjusted.corrections)}: ${moved(adjusted, checkpoint, language)}${adjusted.spread > 0 ? ", and the doubt made wider" : ""}. ` +
  `The machine's own number is ${machineSaid(adjusted, checkpoint, language)}.`;

/** For the student. */
export const adjustedForStudent = (adjusted: Adjusted, checkpoint: Checkpoint, language = ownLanguage()): string =>
  `The machine read ${machineSaid(adjusted, checkpoint, language)}. Your academy's coaches have corrected this number on other clips ` +
  `(${times(adjusted.corrections)}), so it was adjusted: ${moved(adjusted, checkpoint, language)}.`;

/** "85 to 95°", "85 to 95° with the 7 iron". */
export function ownTargetWords(own: OwnBands, checkpoint: Checkpoint, language = ownLanguage()): string {
  const limits = target(own.good_low, own.good_high, measureOf(checkpoint), language);
  return own.club === null ? limits : `${limits} with the ${own.club}`;
}

/** "Your coach's own target for you: 85 to 95°." Why is the coach's own words, which may be in another script. */
export function ownTargetForStudent(reading: Pick<Reading, "own_bands">, checkpoint: Checkpoint, language = ownLanguage()): string {
  const own = reading.own_bands;
  return own === null ? "" : `Your coach's own target for you: ${ownTargetWords(own, checkpoint, language)}.`;
}

/** What a span that the film's end cuts off can say. */
export const cutOffWords = ({ inputs }: Pick<Reading, "inputs">): string =>
  inputs["cut_off"] === 1 ? "The film ends while it is still held: it is at least this long." : "";
