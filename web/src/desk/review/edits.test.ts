import { expect, test } from "vitest";
import { EMPTY_HISTORY, inverse, record, redo, rested, undo, type Edit } from "./edits";

const place = { clipId: "c", swing: 0, keyframe: "lead_arm_parallel" };
const move = (point: string, from: [number, number] | null, to: [number, number] | null): Edit => ({
  kind: "point",
  place,
  point,
  from,
  to,
});

test("an edit taken back twice is the edit", () => {
  const edit = move("butt", null, [3, 4]);
  expect(inverse(inverse(edit))).toEqual(edit);
  expect(inverse(edit)).toMatchObject({ from: [3, 4], to: null });
});

test("undo and redo walk the same way back and forth", () => {
  const first = move("butt", null, [1, 1]);
  const second: Edit = { kind: "mark", place, from: null, to: 93 };
  const history = record(record(EMPTY_HISTORY, first), second);
  const back = undo(history);
  expect(back?.edit).toEqual({ kind: "mark", place, from: 93, to: null });
  const further = undo(back!.history);
  expect(further?.edit).toEqual(inverse(first));
  expect(undo(further!.history)).toBeNull();
  const forth = redo(further!.history);
  expect(forth?.edit).toEqual(first);
  expect(redo(redo(forth!.history)!.history)).toBeNull();
});

test("a new edit forgets what was undone", () => {
  const undone = undo(record(EMPTY_HISTORY, move("butt", null, [1, 1])))!.history;
  expect(redo(record(undone, move("ball", null, [2, 2])))).toBeNull();
});

test("nudges of one point join into one step, of two points they do not", () => {
  let history = record(EMPTY_HISTORY, move("butt", null, [1, 1]), true);
  history = record(history, move("butt", [1, 1], [2, 1]), true);
  history = record(history, move("ball", null, [9, 9]), true);
  expect(history.done).toEqual([move("butt", null, [2, 1]), move("ball", null, [9, 9])]);
});

test("nudges after a drag are a step of their own, and so are nudges after an undo", () => {
  const drag = move("butt", null, [5, 5]);
  let history = record(EMPTY_HISTORY, drag);
  history = record(history, move("butt", [5, 5], [6, 5]), true);
  history = record(history, move("butt", [6, 5], [7, 5]), true);
  expect(history.done).toEqual([drag, move("butt", [5, 5], [7, 5])]);
  const back = undo(history)!.history;
  expect(record(back, move("butt", [5, 5], [5, 6]), true).done).toEqual([drag, move("butt", [5, 5], [5, 6])]);
});

test("changes of one drawing join into one step, of two or without a name they do not", () => {
  const drawn = (to: string, what?: string): Edit => ({ kind: "draft", part: "drawings", from: [], to: [{ id: to } as never], ...(what === undefined ? {} : { what }) });
  let history = record(EMPTY_HISTORY, drawn("a", "one/end"), true);
  history = record(history, drawn("b", "one/end"), true);
  expect(history.done).toEqual([drawn("b", "one/end")]);
  history = record(history, drawn("c", "one/start"), true);
  history = record(history, drawn("d"), true);
  history = record(history, drawn("e"), true);
  expect(history.done).toHaveLength(4);
  const ticked: Edit = { kind: "draft", part: "by_eye", from: [], to: [], what: "one/start" };
  expect(record(record(EMPTY_HISTORY, drawn("c", "one/start"), true), ticked, true).done).toHaveLength(2);
});

test("letters of one field join until the hand rests, and a run that comes back to where it began is none", () => {
  const typed = (from: string, to: string, what = "text"): Edit => ({ kind: "draft", part: "text", from, to, what });
  let history = record(record(EMPTY_HISTORY, typed("", "a"), true), typed("a", "ab"), true);
  expect(history.done).toEqual([typed("", "ab")]);
  history = record(rested(history), typed("ab", "abc"), true);
  expect(history.done).toEqual([typed("", "ab"), typed("ab", "abc")]);
  history = record(history, typed("abc", "ab"), true);
  expect([history.done, history.running]).toEqual([[typed("", "ab")], false]);
});

test("what was asked for with one press goes back with one, the last part first", () => {
  const moves = [move("butt", [1, 1], null), move("ball", [2, 2], null)] as Extract<Edit, { kind: "point" }>[];
  const step = undo(record(EMPTY_HISTORY, { kind: "several", edits: moves }));
  expect(step?.edit).toEqual({ kind: "several", edits: [move("ball", null, [2, 2]), move("butt", null, [1, 1])] });
  expect(inverse(step!.edit)).toEqual({ kind: "several", edits: moves });
});
