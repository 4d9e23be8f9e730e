/** Keeps the shown answers from flickering: another answer is shown once it has held for a while. */

import type { Check, Told } from "./framing";

/** How long another answer must hold before it is shown, milliseconds. What is put right shows sooner. */
export const HOLD_BAD_MS = 1000;
export const HOLD_GOOD_MS = 500;

const keyOf = (told: Told): string => (told.state === "bad" ? told.code : told.state);

export class Steady {
  #shown = new Map<Check, Told>();
  #coming = new Map<Check, { key: string; since: number }>();

  /** What to show after hearing these answers at a time, milliseconds. The first answer of a check shows at once. */
  hear(answers: readonly Told[], now: number): Told[] {
    return answers.map((told) => this.#one(told, now));
  }

  #one(told: Told, now: number): Told {
    const shown = this.#shown.get(told.check);
    const key = keyOf(told);
    if (shown === undefined || keyOf(shown) === key) {
      this.#coming.delete(told.check);
      return this.#show(told);
    }
    const coming = this.#coming.get(told.check);
    if (coming?.key !== key) {
      this.#coming.set(told.check, { key, since: now });
      return shown;
    }
    if (now - coming.since < (told.state === "bad" ? HOLD_BAD_MS : HOLD_GOOD_MS)) return shown;
    this.#coming.delete(told.check);
    return this.#show(told);
  }

  #show(told: Told): Told {
    this.#shown.set(told.check, told);
    return told;
  }
}

/** What the student should do first; null where nothing is known to be wrong. */
export const firstBad = (shown: readonly Told[]): Extract<Told, { state: "bad" }> | null =>
  shown.find((told): told is Extract<Told, { state: "bad" }> => told.state === "bad") ?? null;
