import { expect, test } from "vitest";
import { FIRST_CHUNK_BYTES, LARGEST_CHUNK_BYTES, nextChunkBytes, waitBeforeTry } from "./chunks";

test("a quick chunk doubles the next one, up to the largest", () => {
  expect(nextChunkBytes(FIRST_CHUNK_BYTES, 200)).toBe(2 * FIRST_CHUNK_BYTES);
  expect(nextChunkBytes(LARGEST_CHUNK_BYTES, 200)).toBe(LARGEST_CHUNK_BYTES);
});

test("a slow chunk halves the next one, down to the first size", () => {
  expect(nextChunkBytes(1024 * 1024, 9_000)).toBe(512 * 1024);
  expect(nextChunkBytes(FIRST_CHUNK_BYTES, 9_000)).toBe(FIRST_CHUNK_BYTES);
});

test("an ordinary chunk keeps its size", () => {
  expect(nextChunkBytes(1024 * 1024, 3_000)).toBe(1024 * 1024);
});

test("tries come further apart, but never more than a quarter of a minute", () => {
  expect([1, 2, 3, 4, 5, 6, 40].map(waitBeforeTry)).toEqual([1000, 2000, 4000, 8000, 15000, 15000, 15000]);
});
