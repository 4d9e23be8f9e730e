/** Languages to choose from; the server takes any tag, so others can be set by program. */
const COMMON = [
  "ar-EG", "bg", "cs", "da", "de", "de-AT", "de-CH", "el", "en-GB", "en-US", "es", "es-MX", "et", "fa", "fi", "fr", "fr-CA", "he", "hi", "hr",
  "hu", "id", "is", "it", "ja", "ko", "lt", "lv", "nb", "nl", "pl", "pt-BR", "pt-PT", "ro", "ru", "sk", "sl", "sr", "sv", "th", "tr", "uk", "ur",
  "vi", "zh-Hans", "zh-Hant",
] as const;

/** The one chosen and the browser's own first, each once, then the common ones. */
export function languagesToOffer(browsers: readonly string[], chosen: string): string[] {
  const known = browsers.flatMap((tag) => {
    try {
      return Intl.getCanonicalLocales(tag).filter((one) => new Intl.Locale(one).baseName === one);
    } catch {
      return [];
    }
  });
  return [...new Set([...(chosen === "" ? [] : [chosen]), ...known, ...COMMON])];
}
