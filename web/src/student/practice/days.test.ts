import { describe, expect, it } from "vitest";
import type { GivenDrill, PractisedDay } from "../../api/types";
import { localDay } from "../../words/times";
import { standing, weekOf, weekWords, withUntold } from "./days";

const done = (day: string, sets_done = 3): PractisedDay => ({ day, sets_done, hurt: false, note: "" });
const drill = (part: Partial<GivenDrill>): GivenDrill =>
  ({ assignment_id: "a", days: [], week_done: 0, week_asked: 4, weeks_kept_up: 0, ...part }) as GivenDrill;

describe("days of practice", () => {
  it("are those of the phone's own calendar", () => {
    expect(localDay(new Date(2026, 0, 5, 23, 59))).toBe("2026-01-05");
  });

  it("make a week from Monday to Sunday, also on a Sunday", () => {
    const week = weekOf([done("2026-03-02"), done("2026-03-03", 0)], "2026-03-08", "en-GB");
    expect(week.map((one) => one.letter).join("")).toBe("MTWTFSS");
    expect(week.filter((one) => one.done).map((one) => one.day)).toEqual(["2026-03-02"]);
    expect(week.at(-1)).toMatchObject({ day: "2026-03-08", today: true });
  });

  it("are praised where kept up and never held against anybody", () => {
    const week = (...days: string[]) => weekOf(days.map((day) => done(day)), "2026-03-06", "en-GB");
    expect(weekWords(drill({}), week())).toBe("4 days a week");
    expect(weekWords(drill({}), week("2026-03-02", "2026-03-04"))).toBe("2 of 4 days this week");
    expect(weekWords(drill({ weeks_kept_up: 3 }), week("2026-03-02"))).toBe("1 of 4 days this week · 3 full weeks in a row");
  });

  it("belong to a drill from its first to its last, or without end", () => {
    const given = { start: "2026-03-02", until: "2026-03-15" };
    const days = ["2026-03-01", "2026-03-02", "2026-03-15", "2026-03-16"];
    expect(days.map((day) => standing(given, day))).toEqual(["to come", "now", "now", "over"]);
    expect(standing({ start: null, until: null }, "2026-03-16")).toBe("now");
  });

  it("show what is not told yet in the place of what is known", () => {
    const found = withUntold(drill({ days: [done("2026-03-02", 1), done("2026-03-04")] }), [done("2026-03-02", 2)]);
    expect(found.days.map((one) => [one.day, one.sets_done])).toEqual([
      ["2026-03-02", 2],
      ["2026-03-04", 3],
    ]);
  });
});
