import { expect, test } from "vitest";
import { fileOf, kindToRecord, KINDS, rateWords, whyNoCamera } from "./camera";
import { rateOf } from "./rate";

test.each([
  ["NotAllowedError", "may not use the camera"],
  ["NotFoundError", "No camera was found"],
  ["NotReadableError", "Another app is using the camera"],
  ["AbortError", "Another app is using the camera"],
  ["SomethingNew", "could not be started"],
])("%s is told in words that leave the picker", (name, words) => {
  const told = whyNoCamera(new DOMException("", name));
  expect(told).toContain(words);
  expect(told).toMatch(/choose a video/i);
});

test.each([
  [["video/mp4;codecs=avc1.42E01E", "video/webm"], "video/mp4;codecs=avc1.42E01E"],
  [["video/webm;codecs=vp8", "video/webm"], "video/webm;codecs=vp8"],
  [[], ""],
])("of %j the best kind is recorded", (known, best) => {
  expect(kindToRecord((kind) => known.includes(kind))).toBe(best);
});

test("every kind is one the server opens", () => {
  // worker/video/reading.py: MP4 and WebM, H.264, VP8 and VP9 among others.
  for (const kind of KINDS) expect(kind).toMatch(/^video\/(mp4|webm)(;codecs=(avc1\.\w{6}|vp8|vp9))?$/);
});

test("a film is named by when it was made and what it is", () => {
  const made = new Date("2026-05-04T09:08:07Z");
  const mp4 = fileOf([new Blob(["abc"])], "video/mp4;codecs=avc1.640028", made);
  expect([mp4.name, mp4.type, mp4.size, mp4.lastModified]).toEqual(["swing-2026-05-04-090807.mp4", "video/mp4", 3, made.getTime()]);
  expect(fileOf([], "video/webm;codecs=vp8", made).name).toBe("swing-2026-05-04-090807.webm");
});

test("a low rate is said with why, and a good one is only said", () => {
  expect(rateWords(59.94)).toMatchObject({ enough: true, short: "60 pictures a second", words: "60 pictures a second" });
  expect(rateWords(50).enough).toBe(true);
  const low = rateWords(29.97);
  expect(low.enough).toBe(false);
  expect(low.words).toContain("30 pictures a second");
  expect(low.words).toContain("the club moves far");
  expect(low.inFile).toContain("has 30 pictures a second");
});

test("the rate is counted over the last two seconds, and not from a handful", () => {
  const heard = Array.from({ length: 240 }, (_none, index) => ({ pictures: index, atS: index / 60 }));
  expect(rateOf(heard)).toBeCloseTo(60, 6);
  expect(rateOf(heard.slice(0, 10))).toBeNull();
  expect(rateOf([])).toBeNull();
  // Half of the pictures were never handed to the page, and count all the same.
  expect(rateOf(heard.filter((one) => one.pictures % 2 === 0))).toBeCloseTo(60, 6);
  const slowed = [...heard, ...Array.from({ length: 90 }, (_none, index) => ({ pictures: 240 + index, atS: 4 + index / 30 }))];
  expect(rateOf(slowed)).toBeCloseTo(30, 0);
});
