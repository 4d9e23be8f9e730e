import type { GivenDrill, PractisedDay } from "../../api/types";

/** Days of practice by the student's own calendar, and what was ticked while the phone had no connection. */

export interface WeekDay {
  day: string;
  letter: string;
  name: string;
  done: boolean;
  today: boolean;
}

/** Monday to Sunday of the week of `today`. */
export function weekOf(days: readonly PractisedDay[], today: string, language: string): WeekDay[] {
  const noon = new Date(`${today}T12:00:00Z`);
  const monday = noon.getTime() - ((noon.getUTCDay() + 6) % 7) * 86_400_000;
  return Array.from({ length: 7 }, (_, at) => {
    const date = new Date(monday + at * 86_400_000);
    const day = date.toISOString().slice(0, 10);
    const written = (weekday: "narrow" | "long"): string => date.toLocaleDateString(language, { weekday, timeZone: "UTC" });
    return {
      day,
      letter: written("narrow"),
      name: written("long"),
      done: days.some((one) => one.day === day && one.sets_done > 0),
      today: day === today,
    };
  });
}

export const dayOf = (drill: GivenDrill, day: string): PractisedDay =>
  drill.days.find((one) => one.day === day) ?? { day, sets_done: 0, hurt: false, note: "" };

/** Where a day lies in the time that a drill is given for; its first and its last day are days of it. */
export function standing(dose: { start: string | null; until: string | null }, day: string): "to come" | "now" | "over" {
  if (dose.start !== null && day < dose.start) return "to come";
  return dose.until !== null && day > dose.until ? "over" : "now";
}

/** "2 of 4 days this week", with a word on what was kept up; never a word on what was not. */
export function weekWords(drill: GivenDrill, week: readonly WeekDay[]): string {
  const { week_asked: asked, weeks_kept_up: weeks } = drill;
  // Counted here, so that what is not told yet counts at once.
  const done = week.filter((one) => one.done).length;
  const now = done === 0 ? `${asked} ${asked === 1 ? "day" : "days"} a week` : `${done} of ${asked} days this week`;
  return weeks >= 2 ? `${now} · ${weeks} full weeks in a row` : now;
}

/** A drill with what this phone ticked and could not tell yet in the place of what the server knows. */
export function withUntold(drill: GivenDrill, untold: readonly PractisedDay[]): GivenDrill {
  if (untold.length === 0) return drill;
  const days = [...drill.days.filter((one) => untold.every((other) => other.day !== one.day)), ...untold];
  days.sort((one, other) => one.day.localeCompare(other.day));
  return { ...drill, days };
}
