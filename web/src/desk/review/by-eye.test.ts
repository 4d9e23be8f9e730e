import { expect, test } from "vitest";
import shared from "../../../../tests/vectors/desk.json";
import { EYE_ROWS, inOrder } from "../../answer/by-eye";
import type { ByEye } from "../../api/types";
import { LONGEST_EYE_WORDS, ofSwing, tickOf, ticked, withWords } from "./by-eye";

const OF = { clipId: "c", swing: 0 };
const GRIP = { keyframe: "address", item: "grip" } as const;
const FACE = { keyframe: "top", item: "face" } as const;

test("the server takes what is offered", () => {
  expect(EYE_ROWS).toEqual(shared.by_eye);
  expect(LONGEST_EYE_WORDS).toBe(shared.longest_eye_words);
});

test("a tick is set, changed with its word kept, and taken off by ticking it again", () => {
  let ticks = ticked([], OF, GRIP, "strong");
  expect(ticks).toEqual([{ clip_id: "c", swing: 0, ...GRIP, seen: "strong", words: "" }]);
  ticks = withWords(ticks, ticks[0] as ByEye, "Three knuckles");
  ticks = ticked(ticks, OF, GRIP, "neutral");
  expect(tickOf(ticks, OF, GRIP)).toMatchObject({ seen: "neutral", words: "Three knuckles" });
  expect(ticked(ticks, OF, GRIP, "neutral")).toEqual([]);
});

test("another swing and another clip have ticks of their own", () => {
  const ticks = ticked(ticked(ticked([], OF, FACE, "open"), { ...OF, swing: 1 }, FACE, "closed"), { clipId: "d", swing: 0 }, FACE, "square");
  expect(ticks.map((one) => one.seen)).toEqual(["open", "closed", "square"]);
  expect(ofSwing(ticks, OF)).toBe(1);
  expect(tickOf(ticks, { ...OF, swing: 1 }, FACE)?.seen).toBe("closed");
});

test("the student reads them in the order of the swing", () => {
  const ticks = ticked(ticked(ticked([], OF, FACE, "open"), OF, GRIP, "weak"), { clipId: "b", swing: 0 }, FACE, "square");
  expect(inOrder(ticks, ["b", "c"]).map((one) => [one.clip_id, one.item])).toEqual([
    ["b", "face"],
    ["c", "grip"],
    ["c", "face"],
  ]);
});
