/** Which moment shows which frame. Times are the proxy's own list; a rate is never used. */

const INTO_FRAME_S = 0.001;

/** Gap after frame `index`; the last frame borrows the gap before it. */
export function gapAfter(times: readonly number[], index: number): number {
  const here = times[index];
  const next = times[index + 1];
  const before = times[index - 1];
  if (here === undefined) throw new RangeError(`there is no frame ${index}`);
  if (next !== undefined) return next - here;
  return before === undefined ? INTO_FRAME_S : here - before;
}

/** The moment to seek to for frame `index`: a little inside it, at most half of its gap. */
export function seekTarget(times: readonly number[], index: number): number {
  const gap = gapAfter(times, index);
  return (times[index] ?? 0) + Math.min(INTO_FRAME_S, gap / 2);
}

/** The frame on show at `seconds`: the last one that has begun (to a tenth of a millisecond). */
export function frameAt(times: readonly number[], seconds: number): number {
  let low = 0;
  let high = times.length - 1;
  while (low < high) {
    const middle = Math.ceil((low + high) / 2);
    if ((times[middle] ?? Infinity) <= seconds + 1e-4) low = middle;
    else high = middle - 1;
  }
  return Math.max(0, low);
}

export const clampFrame = (times: readonly number[], index: number): number =>
  Math.min(times.length - 1, Math.max(0, index));
