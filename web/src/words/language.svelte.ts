import { isolated } from "./bidi";

/**
 * How one reader's numbers and dates are written. The product's own sentences are English for everybody; what stands
 * in them as data is written the reader's way: digits, decimal separator, minus, percent, order of a date, clock.
 *
 * A language is a BCP 47 tag as the server keeps it (`api/domain/languages.py`). One that the browser has no data for
 * is written as the default is.
 */
export const DEFAULT_LANGUAGE = "en-GB";

let own = $state(DEFAULT_LANGUAGE);

/** The language of whoever is signed in. */
export const ownLanguage = (): string => own;
export function useLanguage(tag: string): void {
  own = tag;
}

const made = new Map<string, Intl.NumberFormat | Intl.DateTimeFormat>();

/** Making a format costs a hundred times what using it does, and a list of times uses one for every row. */
function kept<Format extends Intl.NumberFormat | Intl.DateTimeFormat>(key: string, make: () => Format): Format {
  const known = (made.get(key) as Format | undefined) ?? make();
  made.set(key, known);
  return known;
}

export const dateFormat = (language: string, options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat =>
  kept(`d${language}${JSON.stringify(options)}`, () => new Intl.DateTimeFormat([language, DEFAULT_LANGUAGE], options));

const numberFormat = (language: string, options: Intl.NumberFormatOptions): Intl.NumberFormat =>
  kept(`n${language}${JSON.stringify(options)}`, () => new Intl.NumberFormat([language, DEFAULT_LANGUAGE], options));

export interface Writing {
  /** Digits after the separator; [least, most] where needless zeros are left out. */
  digits: number | [least: number, most: number];
  /** Plus is written too. */
  signed?: boolean;
  /** A share, written as a percentage. */
  percent?: boolean;
}

/** A number as its reader writes it, without grouping, kept together in the English around it. */
export function written(value: number, { digits, signed = false, percent = false }: Writing, language: string = own): string {
  const [least, most] = typeof digits === "number" ? [digits, digits] : digits;
  const text = numberFormat(language, {
    minimumFractionDigits: least,
    maximumFractionDigits: most,
    signDisplay: signed ? "exceptZero" : "negative",
    useGrouping: false,
    ...(percent ? { style: "percent" as const } : {}),
  }).format(value);
  return text.replace("-", "\u2212");
}

/** Numbers inside a sentence of the server's, which it writes the English way: "0.4 seconds". */
export const withNumbers = (sentence: string, language: string = own): string =>
  sentence.replace(/\d+(?:\.(\d+))?/g, (digits, decimals: string | undefined) =>
    together(written(Number(digits), { digits: decimals?.length ?? 0 }, language), language),
  );

/** Whether pictures with English words and numbers written on them suit this reader (`reads_english` of the API). */
export const readsEnglish = (language: string): boolean => language.split("-")[0] === "en";

/** As `isolated`, for the reader at hand. */
export const together = (data: string, language: string = own): string => isolated(data, language);

/** "German (Austria)", in English like all words of the pages; the tag itself where it has no name. */
export function languageName(tag: string): string {
  const plain = new Intl.Locale(tag).baseName;
  const name = new Intl.DisplayNames(["en-GB"], { type: "language", languageDisplay: "standard" }).of(plain) ?? tag;
  const digits = new Intl.Locale(tag).numberingSystem;
  return digits === undefined ? name : `${name}, ${digits === "latn" ? "Latin digits" : `digits: ${digits}`}`;
}

/** "Deutsch (Österreich)": as its readers call it. */
export const ownName = (tag: string): string =>
  new Intl.DisplayNames([tag, DEFAULT_LANGUAGE], { type: "language", languageDisplay: "standard" }).of(new Intl.Locale(tag).baseName) ?? tag;
