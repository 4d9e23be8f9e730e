/** Scripts that run from right to left (Unicode 15, the living ones). */
const RIGHT_TO_LEFT = new Set(["Adlm", "Arab", "Hebr", "Mand", "Nkoo", "Rohg", "Samr", "Syrc", "Thaa"]);

const known = new Map<string, boolean>();

/** Whether a language is written from right to left. */
export function rightToLeft(language: string): boolean {
  const found = known.get(language) ?? RIGHT_TO_LEFT.has(new Intl.Locale(language).maximize().script ?? "");
  known.set(language, found);
  return found;
}

/**
 * Data of a right-to-left language keeps to itself inside an English sentence: without the isolate (Unicode Standard
 * Annex 9) "87.4° ± 4.1" in Arabic digits changes places, and so do a date and the stop behind it.
 */
export const isolated = (data: string, language: string): string => (rightToLeft(language) ? `\u2068${data}\u2069` : data);
