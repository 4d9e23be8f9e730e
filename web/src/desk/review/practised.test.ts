import { describe, expect, it } from "vitest";
import type { GivenDrill } from "../../api/types";
import { hurts, practisedWords } from "./practised";

const drill = (...days: [string, number, boolean?][]): GivenDrill =>
  ({
    assignment_id: "a",
    drill: { name: "Stop" },
    week_asked: 4,
    days: days.map(([day, sets_done, hurt = false]) => ({ day, sets_done, hurt, note: hurt ? "Wrist." : "" })),
  }) as GivenDrill;

describe("what was practised", () => {
  it("counts days with a set done", () => {
    expect(practisedWords(drill())).toBe("not ticked yet");
    expect(practisedWords(drill(["2026-03-01", 3], ["2026-03-02", 0]))).toBe("1 day, 4 a week asked");
    expect(practisedWords(drill(["2026-03-01", 3], ["2026-03-02", 1]))).toBe("2 days, 4 a week asked");
  });

  it("tells what hurt, the newest first", () => {
    const found = hurts(drill(["2026-03-01", 3, true], ["2026-03-02", 1], ["2026-03-03", 0, true]));
    expect(found.map((one) => [one.day, one.note])).toEqual([
      ["2026-03-03", "Wrist."],
      ["2026-03-01", "Wrist."],
    ]);
  });
});
