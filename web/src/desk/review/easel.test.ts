import { beforeEach, expect, test, vi } from "vitest";
import * as calls from "../../api/calls";
import type { Review, Xy } from "../../api/types";
import { ReviewDesk } from "./desk.svelte";
import { Easel, type Canvas } from "./easel.svelte";

vi.mock("../../api/calls");

const CANVAS: Canvas = { clipId: "c", swing: 0, frame: 75, picture: { width: 720, height: 1280 }, keyframe: "top", kept: true };
const MIDDLE: Xy = [360, 640];

const reviewAt = (version: number): Review =>
  ({
    id: "r",
    state: "claimed",
    version,
    submission: { student: { id: "mira", name: "Mira", language: "en-GB" }, club: null },
    draft: { text: "", later: [], judgements: [], by_eye: [], drawings: [], drills: [], marks: [], points: [] },
    readings: [],
  }) as unknown as Review;

let desk: ReviewDesk;

async function easelOn(canvas: Partial<Canvas> = {}): Promise<Easel> {
  vi.mocked(calls.review).mockResolvedValueOnce({ data: reviewAt(3), etag: '"3"' });
  desk = new ReviewDesk("r");
  await desk.load();
  return new Easel(desk, () => ({ ...CANVAS, ...canvas }));
}

beforeEach(() => {
  vi.resetAllMocks();
  localStorage.clear();
});

const places = (): Xy[][] => desk.drawings.map((one) => one.places);

test("a drag draws an arrow from tail to tip, and it is in hand", async () => {
  const easel = await easelOn();
  easel.take("arrow", MIDDLE);
  easel.penDown([100, 200]);
  easel.penMove([300, 400]);
  expect(easel.shown).toHaveLength(1);
  expect(desk.drawings).toEqual([]);
  easel.penUp(true);
  expect(desk.drawings[0]).toMatchObject({ shape: "arrow", stroke: "full", keyframe: "top", frame: 75, places: [[100, 200], [300, 400]] });
  expect(easel.chosen?.id).toBe(desk.drawings[0]?.id);
  expect(easel.shape).toBeNull();
});

test("a label that is written and not placed is begun, and placed it is no more", async () => {
  const easel = await easelOn();
  easel.take("label", MIDDLE);
  easel.writeLabel("Here ");
  expect(desk.begun).toEqual({ label: "Here" });
  easel.penDown([100, 200]);
  easel.penUp(false);
  expect([desk.drawings[0]?.label, desk.begun]).toEqual(["Here", {}]);
});

test("two taps draw the same, and the first alone draws nothing", async () => {
  const easel = await easelOn();
  easel.take("circle", MIDDLE);
  easel.penDown([100, 200]);
  easel.penUp(false);
  expect(desk.drawings).toEqual([]);
  easel.penDown([150, 200]);
  easel.penUp(false);
  expect(places()).toEqual([[[100, 200], [150, 200]]]);
});

test("after a drag that the system took away, the next tap is the second place", async () => {
  const easel = await easelOn();
  easel.take("line", MIDDLE);
  easel.penDown([100, 200]);
  easel.penMove([120, 220]);
  easel.penDown([300, 400]);
  easel.penUp(false);
  expect(places()).toEqual([[[100, 200], [300, 400]]]);
});

test("keys alone draw a line: the pen is brought, set, brought on and set", async () => {
  const easel = await easelOn();
  easel.take("line", MIDDLE);
  easel.nudge("pen", [-10, 0]);
  easel.penSet();
  expect(easel.first).toEqual([310, 640]);
  easel.nudge("pen", [0, 10]);
  easel.penSet();
  expect(places()).toEqual([[[310, 640], [400, 690]]]);
});

test("a label waits for its words", async () => {
  const easel = await easelOn();
  easel.take("label", MIDDLE);
  easel.penDown([10, 10]);
  easel.penUp(false);
  expect(desk.drawings).toEqual([]);
  easel.writeLabel(" Keep this ");
  easel.penDown([20, 30]);
  easel.penUp(false);
  expect(desk.drawings[0]).toMatchObject({ shape: "label", label: "Keep this", places: [[20, 30]] });
});

test("a step back gives up the place, then the tool, then the drawing in hand", async () => {
  const easel = await easelOn();
  easel.take("line", MIDDLE);
  easel.penSet();
  easel.drop();
  expect([easel.first, easel.shape]).toEqual([null, "line"]);
  easel.drop();
  expect(easel.shape).toBeNull();
  easel.take("line", MIDDLE);
  easel.penSet();
  easel.penSet();
  expect(easel.chosen).not.toBeNull();
  easel.drop();
  expect(easel.chosen).toBeNull();
});

test("a run of arrow keys on an end is one step of undo; stroke and deletion are one each", async () => {
  const easel = await easelOn();
  easel.take("line", MIDDLE);
  easel.penSet();
  easel.penSet();
  const [drawn] = places();
  easel.nudge("end", [1, 0]);
  easel.nudge("end", [1, 0]);
  easel.restroke("broken");
  easel.remove();
  expect(desk.drawings).toEqual([]);
  desk.undo();
  expect(desk.drawings[0]?.stroke).toBe("broken");
  desk.undo();
  expect(desk.drawings[0]?.stroke).toBe("full");
  desk.undo();
  expect(places()).toEqual([drawn]);
  desk.undo();
  expect(desk.drawings).toEqual([]);
  desk.redo();
  expect(places()).toEqual([drawn]);
});

test("what is held is seen where the hand is, and kept when it is let go", async () => {
  const easel = await easelOn();
  easel.take("line", MIDDLE);
  easel.penSet();
  easel.penSet();
  easel.hold("start", [5, 6]);
  expect(easel.here[0]?.places[0]).toEqual([5, 6]);
  expect(places()[0]?.[0]).toEqual([360, 640]);
  easel.place("start", [7, 8]);
  expect(places()[0]?.[0]).toEqual([7, 8]);
});

test("nothing is drawn between instants, without a still, or on a full still", async () => {
  for (const canvas of [{ keyframe: null }, { kept: false }]) {
    const easel = await easelOn(canvas);
    easel.take("line", MIDDLE);
    expect(easel.shape).toBeNull();
    expect(easel.why).not.toBe("");
  }
  const easel = await easelOn();
  for (let count = 0; count < 12; count += 1) {
    easel.take("line", MIDDLE);
    easel.penSet();
    easel.penSet();
  }
  expect(desk.drawings).toHaveLength(12);
  easel.take("line", MIDDLE);
  expect([easel.shape, easel.why]).toEqual([null, "12 drawings are on this still: that is the most."]);
});

test("drawings are saved with the rest of the draft", async () => {
  const easel = await easelOn();
  vi.mocked(calls.patchDraft).mockResolvedValue({ data: reviewAt(4), etag: '"4"' });
  easel.take("line", MIDDLE);
  easel.penSet();
  easel.penSet();
  await desk.flush();
  expect(vi.mocked(calls.patchDraft).mock.calls[0]?.[1]).toMatchObject({ drawings: desk.drawings, by_eye: [], text: "" });
});

test("a label's words outlive a reload until they are placed or given up", async () => {
  const first = await easelOn();
  first.take("label", MIDDLE);
  first.writeLabel("Hands high");
  const reloaded = (): Easel => new Easel(desk, () => CANVAS);
  const again = reloaded();
  expect(again.label).toBe("Hands high");
  again.take("label", MIDDLE);
  again.choose(null); // another frame came
  expect(again.label).toBe("Hands high");
  again.take("label", MIDDLE);
  again.penDown([20, 30]);
  again.penUp(false);
  expect([again.label, reloaded().label]).toEqual(["", ""]);
  const third = reloaded();
  third.take("label", MIDDLE);
  third.writeLabel("Not this");
  third.drop();
  expect([third.label, third.shape, reloaded().label]).toEqual(["", null, ""]);
});

test("a drag draws a free line through where the hand was, in a bounded number of places", async () => {
  const easel = await easelOn();
  easel.take("free", MIDDLE);
  easel.penDown([100, 200]);
  for (let step = 1; step <= 2000; step += 1) easel.penMove([100 + step / 5, 200 + 80 * Math.sin(step / 200)]);
  expect(easel.shown).toHaveLength(1);
  easel.penUp(true);
  const [one] = desk.drawings;
  expect(one?.shape).toBe("free");
  expect(one?.places.length).toBeGreaterThan(8);
  expect(one?.places.length).toBeLessThanOrEqual(64);
  expect([one?.places[0], one?.places.at(-1)]).toEqual([[100, 200], [500, 156.5]]);
  expect(easel.chosen?.id).toBe(one?.id);
});

test("a free line is drawn by taps, or by keys, and the last place once more ends it", async () => {
  const easel = await easelOn();
  const tap = (at: Xy): void => {
    easel.penDown(at);
    easel.penUp(false);
  };
  easel.take("free", MIDDLE);
  for (const at of [[100, 200], [200, 300], [300, 200], [305, 203]] as Xy[]) tap(at);
  expect(places()).toEqual([[[100, 200], [200, 300], [300, 200]]]);
  easel.take("free", MIDDLE);
  easel.penSet();
  easel.nudge("pen", [10, 0]);
  easel.penSet();
  easel.nudge("pen", [0, 10]);
  easel.penSet();
  expect(desk.drawings).toHaveLength(1);
  easel.penSet();
  expect(places()[1]).toEqual([[360, 640], [410, 640], [410, 690]]);
});

test("a free line goes back place by place, what the system cut off goes whole, and nothing is drawn of one place", async () => {
  const easel = await easelOn();
  easel.take("free", MIDDLE);
  easel.penSet();
  easel.nudge("pen", [10, 0]);
  easel.penSet();
  expect(easel.endable).toBe(true);
  easel.drop();
  expect([easel.trail, easel.endable]).toEqual([[MIDDLE], false]);
  easel.penDown([100, 100]);
  easel.penMove([150, 150]);
  easel.penMove([200, 150]);
  easel.drop();
  expect(easel.trail).toEqual([MIDDLE]);
  easel.drop();
  easel.drop();
  expect([easel.shape, desk.drawings]).toEqual([null, []]);
});
