import { flushSync, mount, unmount } from "svelte";
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import type { Checkpoint, OwnBands, Reading } from "../../api/types";
import TargetForm from "./TargetForm.svelte";
import type { Row } from "./rows";
import { wrongWith, type Targets, type Typed } from "./target";

const typed = (...limits: (number | null)[]): Typed => {
  const [watch_low = null, good_low = null, good_high = null, watch_high = null] = limits;
  return { watch_low, good_low, good_high, watch_high };
};

test("four rising numbers are a target", () => {
  expect(wrongWith(typed(78, 85, 95, 105))).toBe("");
  expect(wrongWith(typed(85, 85, 95, 95))).toBe("");
});

test.each([
  [typed(78, null, 95, 105), "Fill in “On target, from” with a number."],
  [typed(90, 85, 95, 105), "“Just off, from” lies above “On target, from”"],
  [typed(78, 96, 95, 105), "“On target, from” lies above “On target, to”"],
  [typed(78, 90, 90, 105), "The target has no width"],
])("anything else is told in words", (given, words) => {
  expect(wrongWith(given)).toContain(words);
});

const ANGLE = {
  id: "lead_arm_shaft_angle",
  name: "Lead arm to shaft angle",
  unit: "deg",
  bands: { watch_low: 70, good_low: 80, good_high: 100, watch_high: 112 },
} as Checkpoint;
const PATH = {
  id: "path_outside",
  name: "Path",
  unit: "stature",
  bands: { watch_low: -0.2, good_low: -0.12, good_high: 0.01, watch_high: 0.04 },
} as Checkpoint;
const OWN: OwnBands = { id: "b", club: "7 iron", watch_low: 78, good_low: 85, good_high: 95, watch_high: 105, reason: "Stiff.", set_by: "Rosa" };

let stop: (() => void) | undefined;
beforeEach(() => localStorage.clear());
afterEach(() => {
  stop?.();
  stop = undefined;
});

function show(checkpoint: Checkpoint, own: OwnBands | null, club: string | null): Targets {
  const targets: Targets = { keptAs: "r", club, set: vi.fn(() => Promise.resolve()), drop: vi.fn(() => Promise.resolve()) };
  const row = { checkpoint, reading: { clip_id: "c", swing: 0, own_bands: own } as unknown as Reading } as Row;
  const form = mount(TargetForm, { target: document.body, props: { row, student: "Mira", targets } });
  flushSync();
  stop = () => {
    void unmount(form);
    document.body.innerHTML = "";
  };
  return targets;
}

const fields = (): HTMLInputElement[] => [...document.querySelectorAll<HTMLInputElement>("input[type=number]")];
const submit = (): void => {
  document.querySelector("form")?.dispatchEvent(new SubmitEvent("submit", { cancelable: true }));
  flushSync();
};
function type(field: HTMLInputElement | undefined, value: string): void {
  if (field === undefined) throw new Error("no such field");
  field.value = value;
  field.dispatchEvent(new Event("input", { bubbles: true }));
  flushSync();
}

test("the form starts from the usual bands and sets the four numbers for every club", () => {
  const targets = show(ANGLE, null, "7 iron");
  expect(document.querySelector("summary")?.textContent?.trim()).toBe("Set a target for Mira");
  expect(fields().map((field) => field.value)).toEqual(["70", "80", "100", "112"]);
  type(fields()[1], "85");
  submit();
  expect(targets.set).toHaveBeenCalledWith(
    "lead_arm_shaft_angle",
    null,
    { watch_low: 70, good_low: 85, good_high: 100, watch_high: 112 },
    "",
  );
});

test("numbers are typed in the unit that is shown", () => {
  const targets = show(PATH, null, null);
  expect(fields().map((field) => field.value)).toEqual(["-20", "-12", "1", "4"]);
  type(fields()[2], "2.5");
  submit();
  expect(targets.set).toHaveBeenCalledWith("path_outside", null, { watch_low: -0.2, good_low: -0.12, good_high: 0.025, watch_high: 0.04 }, "");
});

test("what cannot be is said, and nothing is sent", () => {
  const targets = show(ANGLE, null, null);
  type(fields()[2], "");
  submit();
  expect(document.body.textContent).toContain("Fill in “On target, to” with a number.");
  expect(targets.set).not.toHaveBeenCalled();
});

test("an own target is named, keeps its club, and can be taken back", () => {
  const targets = show({ ...ANGLE, bands: OWN }, OWN, "7 iron");
  expect(document.querySelector("summary")?.textContent?.trim()).toBe("Own target: 85 to 95° with the 7 iron");
  submit();
  expect(targets.set).toHaveBeenCalledWith(
    "lead_arm_shaft_angle",
    "7 iron",
    { watch_low: 78, good_low: 85, good_high: 95, watch_high: 105 },
    "Stiff.",
  );
});

test("back to the usual bands drops the one that holds", async () => {
  const targets = show({ ...ANGLE, bands: OWN }, OWN, "7 iron");
  const back = [...document.querySelectorAll("button")].find((button) => button.textContent === "Back to the usual bands");
  back?.click();
  await Promise.resolve();
  expect(targets.drop).toHaveBeenCalledWith("b");
});

test("a refusal of the server is shown in its words, and what was typed stays", async () => {
  const targets = show(ANGLE, null, null);
  vi.mocked(targets.set).mockRejectedValueOnce(new Error("No clip with a club called that."));
  type(fields()[1], "85");
  submit();
  await vi.waitFor(() => expect(document.querySelector("[role=alert]")?.textContent).toContain("No clip with a club called that."));
  expect(fields()[1]?.value).toBe("85");
});

test("a target that was begun is there again after a reload, until it is set or left", async () => {
  show(ANGLE, null, "7 iron");
  type(fields()[1], "85");
  type(document.querySelector("input[maxlength]") as HTMLInputElement, "Stiff.");
  stop?.();
  const targets = show(ANGLE, null, "7 iron");
  expect([document.querySelector("details")?.open, fields()[1]?.value]).toEqual([true, "85"]);
  submit();
  await vi.waitFor(() => expect(localStorage.length).toBe(0));
  expect(vi.mocked(targets.set).mock.calls[0]?.[3]).toBe("Stiff.");
  type(fields()[1], "86");
  expect(localStorage.length).toBe(1);
  [...document.querySelectorAll("button")].find((button) => button.textContent === "Leave it")?.click();
  flushSync();
  expect([localStorage.length, document.querySelector("details")?.open]).toEqual([0, false]);
});
