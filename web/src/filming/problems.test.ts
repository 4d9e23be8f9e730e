import { mount, unmount } from "svelte";
import { afterEach, expect, test } from "vitest";
import vectors from "../../../tests/vectors/filming_problems.json";
import ProblemDrawing from "./ProblemDrawing.svelte";
import ProblemList from "./ProblemList.svelte";
import { DRAWN, DRAWN_REFUSALS, drawingOfRefusal, isDrawn, type DrawingCode } from "./problems";

let shown: Record<string, unknown> | null = null;
afterEach(() => {
  if (shown) void unmount(shown);
  shown = null;
  document.body.replaceChildren();
});

test("every problem the server can tell has a drawing, and no drawing is left over", () => {
  expect(Object.keys(DRAWN)).toEqual(vectors.codes);
});

test.each(vectors.codes)("%s is drawn, with words for who cannot see it", (code) => {
  if (!isDrawn(code)) throw new Error(`${code} is not drawn`);
  shown = mount(ProblemDrawing, { target: document.body, props: { code, view: "down-the-line", handed: "left" } });
  const drawing = document.querySelector("svg[role=img]");
  expect(drawing?.getAttribute("aria-label")).toBe(DRAWN[code]);
  expect(drawing?.querySelectorAll("path").length).toBeGreaterThan(2);
  expect(drawing?.innerHTML).not.toContain("NaN");
});

const refusals = Object.keys(DRAWN_REFUSALS) as (keyof typeof DRAWN_REFUSALS)[];

test("a refusal that a drawing helps has one, and no drawing is left over", () => {
  const drawn = vectors.refusals.map(drawingOfRefusal);
  expect(drawn).not.toContain(null);
  expect(refusals.every((code) => drawn.includes(code))).toBe(true);
  expect(drawingOfRefusal("damaged")).toBeNull();
  expect(drawingOfRefusal(undefined)).toBeNull();
});

test("each drawing is another one", () => {
  const codes: DrawingCode[] = [...vectors.codes.filter(isDrawn), ...refusals];
  const drawn = codes.map((code) => {
    const target = document.createElement("div");
    const made = mount(ProblemDrawing, { target, props: { code, view: "face-on", handed: "right" } });
    const marks = target.innerHTML.replace(/aria-label="[^"]*"/, "").replace(/id="[^"]*"|url\([^)]*\)/g, "");
    void unmount(made);
    return marks;
  });
  expect(new Set(drawn).size).toBe(vectors.codes.length + refusals.length);
});

test("a problem of another version keeps its sentence, without a drawing", () => {
  const problems = [
    { code: "camera_low", severity: "warning" as const, message: "Raise the phone." },
    { code: "told_by_a_later_version", severity: "warning" as const, message: "Something else." },
  ];
  shown = mount(ProblemList, { target: document.body, props: { problems, view: "face-on", handed: "right" } });
  const lines = [...document.querySelectorAll("li")];
  expect(lines.map((line) => line.textContent?.trim())).toEqual(["Raise the phone.", "Something else."]);
  expect(lines.map((line) => line.querySelectorAll("svg").length)).toEqual([1, 0]);
});
