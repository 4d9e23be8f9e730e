import { expect, test } from "vitest";
import { leadAndRest } from "./lead";

test("the first line is the main thing, everything else follows", () => {
  expect(leadAndRest("  Turn first.\n\nThen set.\nSlowly. ")).toEqual({ lead: "Turn first.", rest: "Then set.\nSlowly." });
});

test("one line alone has nothing after it", () => {
  expect(leadAndRest("Turn first.")).toEqual({ lead: "Turn first.", rest: "" });
  expect(leadAndRest(" \n ")).toEqual({ lead: "", rest: "" });
});
