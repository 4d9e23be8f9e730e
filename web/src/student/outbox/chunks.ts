/** How much to send in one request: little on a poor line, so that what has arrived counts soon. */

export const FIRST_CHUNK_BYTES = 128 * 1024;
export const LARGEST_CHUNK_BYTES = 8 * 1024 * 1024;

const QUICK_MS = 1_500;
const SLOW_MS = 6_000;

/** The size after a chunk of `bytes` that took `ms`: doubled when quick, halved when slow. */
export function nextChunkBytes(bytes: number, ms: number): number {
  if (ms < QUICK_MS) return Math.min(LARGEST_CHUNK_BYTES, bytes * 2);
  if (ms > SLOW_MS) return Math.max(FIRST_CHUNK_BYTES, Math.floor(bytes / 2));
  return bytes;
}

const FIRST_WAIT_MS = 1_000;
const LONGEST_WAIT_MS = 15_000;

/** How long to wait before try number `tries` (from 1) after the line dropped. */
export function waitBeforeTry(tries: number): number {
  return Math.min(LONGEST_WAIT_MS, FIRST_WAIT_MS * 2 ** Math.max(0, tries - 1));
}
