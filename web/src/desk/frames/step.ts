/** Two clips in step by what happens in them, not by seconds: a slow swing goes beside a quick one. */

/** An instant of a clip; frame null where the clip has none. */
export interface Instant {
  id: string;
  frame: number | null;
}

/** An instant that both clips have, with the moment of its frame in each. */
export interface Tie {
  id: string;
  mine: number;
  theirs: number;
}

export interface Step {
  frame: number;
  /** The instants on either side; one of them is null before the first and after the last. */
  after: string | null;
  before: string | null;
  /** How far from the one to the other, 0 to 1; 0 on the instant itself. */
  share: number;
}

/**
 * Instants that both have, in the order of the leading clip. One that comes earlier in the other clip than
 * the instant before it would make it run backwards, and is left out.
 */
export function ties(
  mine: readonly Instant[],
  myTimes: readonly number[],
  theirs: readonly Instant[],
  theirTimes: readonly number[],
): Tie[] {
  const both = mine.flatMap(({ id, frame }): Tie[] => {
    const other = theirs.find((item) => item.id === id)?.frame ?? null;
    const here = frame === null ? undefined : myTimes[frame];
    const there = other === null ? undefined : theirTimes[other];
    return here === undefined || there === undefined ? [] : [{ id, mine: here, theirs: there }];
  });
  both.sort((one, other) => one.mine - other.mine);
  return both.reduce<Tie[]>((kept, tie) => {
    const last = kept.at(-1);
    const rises = last === undefined || (tie.mine > last.mine && tie.theirs > last.theirs);
    return rises ? [...kept, tie] : kept;
  }, []);
}

/** Why two clips cannot go in step; "" where they can. */
export function whyNot(tied: readonly Tie[], nameOf: (id: string) => string): string {
  if (tied.length >= 2) return "";
  const [only] = tied;
  return only === undefined
    ? "These clips cannot go in step: they have no instant in common."
    : `These clips cannot go in step: ${nameOf(only.id).toLowerCase()} is the only instant that both have.`;
}

/**
 * The frame of the other clip that goes with `frame` of this one. Between two instants it is as far on as this
 * clip is; outside them it keeps the same distance in seconds. Null with fewer than two ties.
 */
export function inStep(
  tied: readonly Tie[],
  frame: number,
  myTimes: readonly number[],
  theirTimes: readonly number[],
): Step | null {
  const first = tied[0];
  const last = tied.at(-1);
  const now = myTimes[frame];
  if (tied.length < 2 || first === undefined || last === undefined || now === undefined) return null;
  if (now < first.mine) {
    return { frame: nearestFrame(theirTimes, first.theirs + now - first.mine), after: null, before: first.id, share: 0 };
  }
  if (now >= last.mine) {
    return { frame: nearestFrame(theirTimes, last.theirs + now - last.mine), after: last.id, before: null, share: 0 };
  }
  const at = tied.findLastIndex((tie) => tie.mine <= now);
  const [from, to] = [tied[at] as Tie, tied[at + 1] as Tie];
  const share = (now - from.mine) / (to.mine - from.mine);
  return { frame: nearestFrame(theirTimes, from.theirs + share * (to.theirs - from.theirs)), after: from.id, before: to.id, share };
}

/** "At top", "Before address", "40 % of the way from takeaway to top". */
export function stepWords(step: Step, nameOf: (id: string) => string): string {
  const name = (id: string): string => nameOf(id).toLowerCase();
  if (step.after === null) return step.before === null ? "" : `Before ${name(step.before)}`;
  if (step.before === null) return `At or after ${name(step.after)}`;
  if (step.share === 0) return `At ${name(step.after)}`;
  return `${Math.round(step.share * 100)} % of the way from ${name(step.after)} to ${name(step.before)}`;
}

/** The frame that begins nearest to a moment. */
export function nearestFrame(times: readonly number[], seconds: number): number {
  let low = 0;
  let high = times.length - 1;
  while (low < high) {
    const middle = (low + high) >> 1;
    if ((times[middle] ?? Infinity) < seconds) low = middle + 1;
    else high = middle;
  }
  const before = Math.max(0, low - 1);
  const apart = (frame: number): number => Math.abs((times[frame] ?? Infinity) - seconds);
  return apart(before) <= apart(low) ? before : low;
}
