import { expect, test } from "vitest";
import { cropAround, cropMatrix, toPicture } from "./crop";
import { ANCHORS, decodePeople, type Person } from "./detector";
import { golferOf, isCrowded } from "./people";
import { cutCrop, DETECTOR_SIDE, greyLevel, letterbox, type Picture } from "./picture";
import { bodyPoints, refine, type BodyPoints } from "./points";
import { Watch } from "./watch";

function picture(width: number, height: number, paint: (x: number, y: number) => number): Picture {
  const data = new Uint8ClampedArray(width * height * 4);
  for (let y = 0; y < height; y += 1) {
    for (let x = 0; x < width; x += 1) data.set([paint(x, y), paint(x, y), paint(x, y), 255], (y * width + x) * 4);
  }
  return { width, height, data };
}

const person = (x: number, side: number, score = 0.9): Person => ({ score, crop: { x, y: 300, side, angle: 0 } });

test("a picture twice as large as the square is averaged by fours and centred", () => {
  const boxed = letterbox(picture(224, 448, (x, y) => ((x + y) % 2 === 0 ? 200 : 100)));
  expect([boxed.scale, boxed.left, boxed.top]).toEqual([0.5, 56, 0]);
  expect(boxed.values[0]).toBe(-1);
  expect(boxed.values[(10 * DETECTOR_SIDE + 56) * 3]).toBeCloseTo(150 / 127.5 - 1, 6);
});

test("an upright crop as large as itself copies pixels, and is black outside", () => {
  const shown = picture(256, 256, (x) => x);
  const cut = cutCrop(shown, { x: 128 + 10, y: 128, side: 256, angle: 0 });
  expect(cut[(5 * 256 + 20) * 3]).toBeCloseTo(30 / 255, 6);
  expect(cut[(5 * 256 + 250) * 3]).toBe(0);
});

test("a crop's corners and middle come back to where they are", () => {
  const crop = cropAround([100, 200], [100, 120]);
  expect(crop).toEqual({ x: 100, y: 200, side: 200, angle: 0 });
  expect(toPicture(crop, [128, 128])).toEqual([100, 200]);
  expect(toPicture(crop, [0, 0])).toEqual([0, 100]);
  const turned = cropAround([100, 200], [180, 200]);
  expect(turned.angle).toBeCloseTo(Math.PI / 2, 9);
  // Its up is the picture's right.
  expect(toPicture(turned, [128, 0])[0]).toBeCloseTo(200, 9);
  expect(cropMatrix(turned)[0]).toBeCloseTo(0, 9);
});

test("anchors are the detector's", () => {
  expect(ANCHORS.length).toBe(2254);
  expect(ANCHORS[0]).toEqual([4, 4]);
  expect(ANCHORS.at(-1)).toEqual([208, 208]);
});

test("people are told apart, and who seems to lie is not counted", () => {
  const boxes = new Float32Array(2254 * 12);
  const logits = new Float32Array(2254).fill(-9);
  const put = (index: number, logit: number, edge: [number, number]): void => {
    logits[index] = logit;
    boxes.set([0, 0, 20, 20, 0, 0, ...edge], index * 12);
  };
  put(0, 3, [0, -20]);
  put(1, 2, [0, -21]); // the same place again
  put(60, 1, [20, 0]); // lying
  put(1500, 0, [0, -20]);
  const found = decodePeople(boxes, logits, { values: new Float32Array(), scale: 1, left: 0, top: 0 });
  expect(found.map((one) => one.score.toFixed(2))).toEqual(["0.95", "0.50"]);
});

test("a point moves to its heatmap's peak, and stays where there is none", () => {
  const maps = new Float32Array(64 * 64 * 39).fill(-20);
  maps[(33 * 64 + 31) * 39 + 7] = 8;
  expect(refine([128, 128], 7, maps)[0]).toBeCloseTo(124, 3);
  expect(refine([128, 128], 7, maps)[1]).toBeCloseTo(132, 3);
  expect(refine([128, 128], 8, maps)).toEqual([128, 128]);
  expect(refine([-30, 500], 7, maps)).toEqual([-30, 500]);
});

test("points are counted from the first pixel's centre", () => {
  const table = new Float32Array(39 * 5).fill(0);
  const raw = { table, person: 1, heatmaps: new Float32Array(64 * 64 * 39).fill(-20) };
  const body = bodyPoints(raw, { x: 128, y: 128, side: 256, angle: 0 });
  expect(body.xy[0]).toEqual([-0.5, -0.5]);
  expect(body.seen[0]).toBe(0.5);
  expect([body.xy.length, body.seen.length]).toEqual([33, 33]);
});

test("the golfer is large and central; somebody about as near is somebody else", () => {
  const [near, far, beside] = [person(180, 300), person(300, 120), person(330, 290)];
  expect(golferOf([far, near], 360, 640)).toBe(near);
  expect(golferOf([beside, near], 360, 640)).toBe(near);
  expect(golferOf([], 360, 640)).toBeNull();
  expect(isCrowded([near, far])).toBe(false);
  expect(isCrowded([near, beside])).toBe(true);
  expect(isCrowded([near, person(330, 290, 0.4)])).toBe(false);
});

test("nine tenths of the picture stay below the level told", () => {
  expect(greyLevel(picture(400, 400, (_x, y) => (y < 370 ? 10 : 250)), 0.9)).toBe(10);
  expect(greyLevel(picture(400, 400, (_x, y) => (y < 320 ? 10 : 250)), 0.9)).toBe(250);
});

test("a watch follows, looks round now and then, and begins anew when it lost the golfer", async () => {
  const shown = picture(360, 640, () => 90);
  let rounds = 0;
  let others: Person[] = [];
  let sure = 1;
  const crop = { x: 180, y: 300, side: 300, angle: 0 };
  const body = (): BodyPoints => ({ xy: [], seen: [], person: sure, nextCrop: { ...crop, side: 340 } });
  const watch = new Watch({
    people: async () => {
      rounds += 1;
      return [{ score: 0.9, crop }, ...others];
    },
    body: async () => body(),
  });
  const first = await watch.look(shown);
  expect(first.crop).toEqual(crop);
  // A quarter of the way to the new size at a time.
  expect((await watch.look(shown)).crop?.side).toBe(310);
  expect(rounds).toBe(1);
  others = [person(330, 290)];
  const crowded: boolean[] = [];
  for (let look = 2; look < 18; look += 1) crowded.push((await watch.look(shown)).crowded);
  expect(rounds).toBe(3);
  expect(crowded.indexOf(true)).toBe(14);
  sure = 0.1;
  expect((await watch.look(shown)).body).toBeNull();
  sure = 1;
  expect((await watch.look(shown)).crop).toEqual(crop);
  expect(rounds).toBe(4);
});
