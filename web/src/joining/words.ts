import type { ConsentState, StatureBand, Step } from "../api/joining";

/** Names of the steps, in the order in which they come. */
export const STEP_NAMES: Record<Step, string> = {
  age: "Your age",
  guardian: "Your guardian",
  consent: "What happens with your clips",
  swing: "How you play",
  clubs: "Your clubs",
  about: "For your coach",
  time_zone: "Where you are",
};

export const BAND_WORDS: Record<StatureBand, string> = {
  under_150: "Below 150 cm",
  "150_165": "150 to 165 cm",
  "165_180": "165 to 180 cm",
  over_180: "Above 180 cm",
};

/** Where consent stands, as the person whose clips they are reads it. */
export const CONSENT_WORDS: Record<ConsentState, string> = {
  age_unknown: "Say first whether you are of age.",
  guardian_missing: "A guardian must agree. Name yours.",
  guardian_asked: "Your guardian has a mail from us and has not decided yet.",
  not_asked: "You have not said yet whether you agree.",
  refused: "Consent was refused.",
  withdrawn: "Consent was withdrawn.",
  outdated: "The text has changed. Read the new one.",
  valid: "Agreed.",
};

/** The same, as a guardian reads it of their child. */
export const CONSENT_OF_CHILD: Record<ConsentState, string> = {
  ...CONSENT_WORDS,
  guardian_asked: "You have not decided yet",
  refused: "You refused",
  withdrawn: "Consent was withdrawn",
  outdated: "The text has changed: please read the new one",
  valid: "You agreed",
};

/** Only these keep a clip from being taken. */
export const mustComeFirst = (step: Step): boolean => ["age", "guardian", "consent"].includes(step);

/** The zones a browser knows, the one it is in first. */
export function zones(own: string): string[] {
  const all = typeof Intl.supportedValuesOf === "function" ? Intl.supportedValuesOf("timeZone") : [];
  return [own, ...all.filter((zone) => zone !== own)];
}

export const browserZone = (): string => Intl.DateTimeFormat().resolvedOptions().timeZone || "UTC";

/** A day as the API writes it, or null where there is no such day. */
export function isoDay(year: string, month: string, day: string): string | null {
  const [y, m, d] = [Number(year), Number(month), Number(day)];
  if (!Number.isInteger(y) || !Number.isInteger(m) || !Number.isInteger(d) || y < 1900 || y > 2200) return null;
  const date = new Date(Date.UTC(y, m - 1, d));
  if (date.getUTCFullYear() !== y || date.getUTCMonth() !== m - 1 || date.getUTCDate() !== d) return null;
  return date.toISOString().slice(0, 10);
}
