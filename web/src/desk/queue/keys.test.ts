import { expect, test } from "vitest";
import { actOf, KEY_HELP } from "./keys";

const press = (key: string, more: Partial<KeyboardEvent> = {}): KeyboardEvent =>
  ({ key, ctrlKey: false, metaKey: false, altKey: false, ...more }) as KeyboardEvent;
const ROW = { row: true, field: false };
const PAGE = { row: false, field: false };
const FIELD = { row: false, field: true };

test("letters act anywhere but in a field, and not at all when they are switched off", () => {
  expect(actOf(press("n"), PAGE, true)).toBe("next");
  expect(actOf(press("n"), FIELD, true)).toBeNull();
  expect(actOf(press("n"), ROW, false)).toBeNull();
  expect(actOf(press("?"), PAGE, true)).toBe("help");
});

test("arrows and Enter act on a row only, letters or not, and never with a modifier", () => {
  expect(actOf(press("ArrowDown"), ROW, false)).toBe("down");
  expect(actOf(press("Enter"), ROW, false)).toBe("act");
  expect(actOf(press("ArrowDown"), PAGE, true)).toBeNull();
  expect(actOf(press("t", { ctrlKey: true }), ROW, true)).toBeNull();
});

test("the help lists every letter that acts", () => {
  const listed = KEY_HELP.filter((line) => line.letter).flatMap((line) => line.keys);
  const acting = [..."abcdefghijklmnopqrstuvwxyz0123456789/?"].filter((key) => actOf(press(key), PAGE, true) !== null);
  expect(listed.sort()).toEqual(acting.sort());
});
