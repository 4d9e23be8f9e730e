/** Instants in the academy's own time zone, in words a person reads at a glance. */

const LANGUAGE = "en-GB";

const formats = new Map<string, Intl.DateTimeFormat>();

/** Making a format costs a hundred times what using it does, and a list of times uses one for every row. */
function format(options: Intl.DateTimeFormatOptions): Intl.DateTimeFormat {
  const key = JSON.stringify(options);
  const known = formats.get(key) ?? new Intl.DateTimeFormat(LANGUAGE, options);
  formats.set(key, known);
  return known;
}

/** "Fri 27 Nov, 16:00", in `zone`. The year is added when it is not this one. */
export function dayAndTime(iso: string, zone: string, now: Date = new Date()): string {
  const when = new Date(iso);
  const year = (date: Date): string => format({ year: "numeric", timeZone: zone }).format(date);
  const day = format({
    weekday: "short",
    day: "numeric",
    month: "short",
    timeZone: zone,
    ...(year(when) === year(now) ? {} : { year: "numeric" as const }),
  }).format(when);
  return `${day.replace(",", "")}, ${clock(iso, zone)}`;
}

/** "27 Nov", in `zone`. */
export const shortDay = (iso: string, zone: string): string =>
  new Date(iso).toLocaleDateString(LANGUAGE, { day: "numeric", month: "short", timeZone: zone });

/** "27 November 2026", in `zone`: for what is read long after. */
export const day = (iso: string, zone: string): string =>
  new Date(iso).toLocaleDateString(LANGUAGE, { day: "numeric", month: "long", year: "numeric", timeZone: zone });

/** "16:00", in `zone`. */
export function clock(iso: string | Date, zone?: string): string {
  const options: Intl.DateTimeFormatOptions = { hour: "2-digit", minute: "2-digit" };
  if (zone !== undefined) options.timeZone = zone;
  return format(options).format(new Date(iso));
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
export const clipSeconds = (seconds: number): string => `${seconds.toFixed(3)} s`;
