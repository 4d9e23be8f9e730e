import { dateFormat, ownLanguage, together, written } from "./language.svelte";

/** Instants in the academy's own time zone, as the reader writes them, in words a person reads at a glance. */

/** Both digits of an hour where a day has 24, as in "09:05"; "9:05 AM" needs no more than one. */
const hourOf = (language: string): "2-digit" | "numeric" =>
  dateFormat(language, { hour: "numeric" }).resolvedOptions().hour12 === true ? "numeric" : "2-digit";

/** "Fri 27 Nov, 16:00", in `zone`. The year is added when it is not this one. */
export function dayAndTime(iso: string, zone: string, now: Date = new Date(), language = ownLanguage()): string {
  const when = new Date(iso);
  const year = (date: Date): string => dateFormat(language, { year: "numeric", timeZone: zone }).format(date);
  const said = dateFormat(language, {
    weekday: "short",
    day: "numeric",
    month: "short",
    hour: hourOf(language),
    minute: "2-digit",
    timeZone: zone,
    ...(year(when) === year(now) ? {} : { year: "numeric" as const }),
  }).format(when);
  // In English some versions set a comma behind the day of the week and some do not.
  return together(language.startsWith("en") ? said.replace(/^(\w+),/, "$1") : said, language);
}

/** "27 Nov", in `zone`. */
export const shortDay = (iso: string, zone: string, language = ownLanguage()): string =>
  together(dateFormat(language, { day: "numeric", month: "short", timeZone: zone }).format(new Date(iso)), language);

/** "27 November 2026", in `zone`: for what is read long after. */
export const day = (iso: string, zone: string, language = ownLanguage()): string =>
  together(dateFormat(language, { day: "numeric", month: "long", year: "numeric", timeZone: zone }).format(new Date(iso)), language);

/** "1 December": a calendar date belongs to no time zone; noon keeps it the same day everywhere. */
export const calendarDay = (isoDate: string, language = ownLanguage()): string =>
  together(dateFormat(language, { day: "numeric", month: "long", timeZone: "UTC" }).format(new Date(`${isoDate}T12:00:00Z`)), language);

/** "2026-11-30": today where the reader is, which may be another day than at the academy or by UTC. */
export function localDay(now: Date = new Date()): string {
  const two = (part: number): string => String(part).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

/** "16:00", in `zone`. */
export function clock(iso: string | Date, zone?: string, language = ownLanguage()): string {
  const options: Intl.DateTimeFormatOptions = { hour: hourOf(language), minute: "2-digit" };
  if (zone !== undefined) options.timeZone = zone;
  return together(dateFormat(language, options).format(new Date(iso)), language);
}

/** When something kept was told: "at 15:02", with its day when that is not today. */
export function asOf(iso: string, now = new Date(), language = ownLanguage()): string {
  if (new Date(iso).toDateString() === now.toDateString()) return `at ${clock(iso, undefined, language)}`;
  return `on ${dayAndTime(iso, Intl.DateTimeFormat().resolvedOptions().timeZone, now, language)}`;
}

/** The zone's name as people say it: "Europe/Dublin" reads "Dublin time". */
export function zoneWords(zone: string): string {
  const place = zone.split("/").at(-1) ?? zone;
  return `${place.replaceAll("_", " ")} time`;
}

/** "3 h 20 min left", "12 min left", "2 h late": how far a due time is off. */
export function distance(iso: string, now: Date = new Date()): string {
  const left = new Date(iso).getTime() - now.getTime();
  const span = spanWords(Math.round(Math.abs(left) / 60_000));
  return left <= 0 ? `${span} late` : `${span} left`;
}

function spanWords(minutes: number): string {
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (hours < 72) return minutes % 60 === 0 || hours >= 10 ? `${hours} h` : `${hours} h ${minutes % 60} min`;
  return `${Math.round(hours / 24)} days`;
}

/** "4:05" for a countdown in seconds. */
export function countdown(seconds: number): string {
  const left = Math.max(0, Math.ceil(seconds));
  return `${Math.floor(left / 60)}:${String(left % 60).padStart(2, "0")}`;
}

/** A span on the clip's clock: "1.417 s". */
export const clipSeconds = (seconds: number): string => `${together(written(seconds, { digits: 3 }))} s`;
