import { expect, test } from "vitest";
import vectors from "../../../../tests/vectors/filming_problems.json";
import type { Clip } from "../../api/types";
import { causesFor, DRAWING_OF_REASON, drawingsFor, REASON_OF_PROBLEM, REFILM_REASONS, withCause } from "./refilm";

const clip = (view: Clip["view"], ...problems: [string, string][]): Clip =>
  ({ view, measurement: { view: { problems: problems.map(([code, message]) => ({ code, message, severity: "warning" })) } } }) as unknown as Clip;

test("every problem that the camera check tells is counted under the server's cause", () => {
  expect(REASON_OF_PROBLEM).toEqual(vectors.reasons);
});

test("the coach sees the drawings that the student gets: what was found, else the guide's own", () => {
  expect(DRAWING_OF_REASON).toEqual(vectors.drawings);
  const clips = [clip("down-the-line", ["camera_high", "Lower."]), clip("face-on", ["camera_high", "Lower."], ["told_by_a_later_version", ""])];
  expect(drawingsFor(clips, ["somebody_else", "camera_height", "other_club"])).toEqual([
    { code: "several_people", view: "down-the-line" },
    { code: "camera_high", view: "down-the-line" },
    { code: "camera_high", view: "face-on" },
  ]);
});

test("what was found on these clips comes first, in its own words", () => {
  const { found, others } = causesFor([clip("face-on", ["club_cut_off", "Room for the club."], ["person_cut_off", "Room for the feet."]), clip("down-the-line")]);
  expect(found).toEqual([{ code: "cut_off", name: "Something is cut off", words: "Room for the club. Room for the feet.", found: ["face-on"] }]);
  expect(others).toHaveLength(REFILM_REASONS.length - 1);
});

test("without a measured clip every cause is there with its usual words", () => {
  const { found, others } = causesFor([{ view: "face-on", measurement: null } as unknown as Clip]);
  expect([found, others.map((one) => one.words)]).toEqual([[], REFILM_REASONS.map((one) => one.words)]);
});

test("a cause brings its sentence once, and takes back only what was not edited", () => {
  const both = withCause(withCause("", "Further back.", true), "Brighter.", true);
  expect(both).toBe("Further back.\nBrighter.");
  expect(withCause(both, "Brighter.", true)).toBe(both);
  expect(withCause(both, "Further back.", false)).toBe("Brighter.");
  expect(withCause("Two steps further back.", "Further back.", false)).toBe("Two steps further back.");
});
