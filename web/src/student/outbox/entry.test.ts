import { expect, test } from "vitest";
import { arrivedShare, bytesWords, describeFile, sameFile, type Entry } from "./entry";

const file = (name: string, bytes: number, modified: number): File =>
  new File([new Uint8Array(bytes)], name, { lastModified: modified });

const entry = (...files: Entry["files"]): Entry => ({
  id: "e",
  owner: "m",
  form: null,
  submissionId: "s",
  files,
  paused: false,
});

test("the same file is known again, and another of the same length is not", () => {
  const described = describeFile("face-on", file("swing.mp4", 10, 5));
  expect(sameFile(described, file("swing.mp4", 10, 5))).toBe(true);
  expect(sameFile(described, file("copy.mp4", 10, 5))).toBe(true);
  expect(sameFile(described, file("other.mp4", 10, 6))).toBe(false);
  expect(sameFile(described, file("swing.mp4", 11, 5))).toBe(false);
});

test("a file known only by its length (from the server) needs the same length", () => {
  const described = { ...describeFile("face-on", file("", 10, 0)), modified: 0 };
  expect(sameFile(described, file("any.mov", 10, 7))).toBe(true);
  expect(sameFile(described, file("any.mov", 9, 7))).toBe(false);
});

test("the arrived share counts all files by bytes", () => {
  const first = { ...describeFile("face-on", file("a", 30, 1)), done: true };
  const second = { ...describeFile("down-the-line", file("b", 10, 1)), sentBytes: 4 };
  expect(arrivedShare(entry(first, second))).toBeCloseTo(0.85, 10);
  expect(arrivedShare(entry())).toBe(0);
});

test("sizes read as people say them", () => {
  expect(bytesWords(431_502)).toBe("432 kB");
  expect(bytesWords(14_800_000)).toBe("14.8 MB");
});
