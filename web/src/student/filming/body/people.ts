/** Who is the golfer among the people in view. As `worker/body/people.py`, for one picture. */

import type { Person } from "./detector";

/** Another person at least this share of the golfer's size is close enough to be mistaken for them. */
const NEARNESS = 0.6;
/** A second person must be clear: a warning needs more than a hint. */
const SURE_SCORE = 0.5;

/** The largest, most central person. */
export function golferOf(people: readonly Person[], width: number, height: number): Person | null {
  const standing = (person: Person): number =>
    person.crop.side *
    (1 - Math.abs(person.crop.x - width / 2) / width - (0.5 * Math.abs(person.crop.y - height / 2)) / height);
  return people.reduce<Person | null>((best, one) => (best === null || standing(one) > standing(best) ? one : best), null);
}

/** Whether somebody else stands about as near as the golfer, surely so. */
export function isCrowded(people: readonly Person[]): boolean {
  const [first, second] = [...people].sort((one, other) => other.crop.side - one.crop.side);
  if (first === undefined || second === undefined) return false;
  return second.crop.side >= NEARNESS * first.crop.side && Math.min(first.score, second.score) >= SURE_SCORE;
}
