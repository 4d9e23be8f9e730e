import { expect, test } from "vitest";
import { DESK_KEYS, deskAct, handleAct, leavesAField } from "./acts";

const press = (key: string, held: Partial<Record<"ctrlKey" | "metaKey" | "altKey" | "shiftKey", boolean>> = {}) => ({
  key,
  ctrlKey: false,
  metaKey: false,
  altKey: false,
  shiftKey: false,
  ...held,
});

test("no key means two things", () => {
  const all = Object.values(DESK_KEYS).flatMap((line) => line.keys.map((key) => `${line.ctrl ?? false} ${key}`));
  expect(new Set(all).size).toBe(all.length);
});

test("single keys can be switched off, those with Ctrl stay", () => {
  expect(deskAct(press("l"), true)).toBe("loop");
  expect(deskAct(press("l"), false)).toBeNull();
  expect(deskAct(press("z", { ctrlKey: true }), false)).toBe("undo");
  expect(deskAct(press("Z", { metaKey: true, shiftKey: true }), false)).toBe("redo");
  expect(deskAct(press("l", { ctrlKey: true }), true)).toBeNull();
  expect(deskAct(press("l", { altKey: true }), true)).toBeNull();
});

test("out of a field leads the way to sending, and undo where the field is of the draft; nothing out of a dialog", () => {
  document.body.innerHTML = "<textarea></textarea><fieldset data-draft><select></select></fieldset><dialog data-draft><input /></dialog>";
  const from = (where: string): KeyboardEvent => ({ target: document.querySelector(where) }) as unknown as KeyboardEvent;
  expect(deskAct(press("Enter", { ctrlKey: true }), false)).toBe("ready");
  expect(deskAct(press("Enter"), true)).toBeNull();
  expect(leavesAField("ready", from("textarea"))).toBe(true);
  expect(leavesAField("undo", from("textarea"))).toBe(false);
  expect(leavesAField("ready", from("input"))).toBe(false);
  expect(leavesAField("undo", from("select"))).toBe(true);
  expect(leavesAField("redo", from("select"))).toBe(true);
  expect(leavesAField("loop", from("select"))).toBe(false);
  expect(leavesAField("undo", from("input"))).toBe(false);
});

test("ten frames with Shift, on keyboards of either kind", () => {
  expect(deskAct(press("<", { shiftKey: true }), true)).toBe("back10");
  expect(deskAct(press(";", { shiftKey: true }), true)).toBe("back10");
  expect(deskAct(press(";"), true)).toBeNull();
});

test("on a handle an arrow is a frame, with Shift ten", () => {
  expect(handleAct(press("ArrowLeft"))).toBe("back");
  expect(handleAct(press("ArrowRight", { shiftKey: true }))).toBe("on10");
  expect(handleAct(press("Home"))).toBe("machines");
  expect(handleAct(press("x"))).toBeNull();
});
