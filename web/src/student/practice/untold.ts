import { tick } from "../../api/calls";
import { Problem } from "../../api/problem";
import type { Practice, PractisedDay } from "../../api/types";

/**
 * Ticks that the server does not have yet, kept in the browser until it does: at the range there may be no signal.
 * Each says all there is to say of a drill on a day, so telling it twice changes nothing.
 */

const KEY = "fairlead-untold-practice";

interface Untold {
  owner: string;
  assignment_id: string;
  told: PractisedDay;
}

export function read(owner: string): Untold[] {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(KEY) ?? "[]");
    return Array.isArray(kept) ? (kept as Untold[]).filter((one) => one.owner === owner) : [];
  } catch {
    return []; // storage is off, or somebody else's words are in it
  }
}

/** Keep a tick; false where the browser keeps nothing. */
export function keep(owner: string, assignment_id: string, told: PractisedDay): boolean {
  return write(owner, [...read(owner).filter((one) => !same(one, assignment_id, told.day)), { owner, assignment_id, told }]);
}

const same = (one: Untold, assignment_id: string, day: string): boolean =>
  one.assignment_id === assignment_id && one.told.day === day;

function write(owner: string, mine: Untold[]): boolean {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(KEY) ?? "[]");
    const others = Array.isArray(kept) ? (kept as Untold[]).filter((one) => one.owner !== owner) : [];
    localStorage.setItem(KEY, JSON.stringify([...others, ...mine]));
    return true;
  } catch {
    return false;
  }
}

let before: Promise<unknown> = Promise.resolve();

/** Tell what is kept, after what is being told already: two on their way at once may arrive in either order. */
export function tell(owner: string): Promise<{ practice: Practice | null; left: number }> {
  const next = before.then(() => tellNow(owner));
  before = next.catch(() => undefined);
  return next;
}

/**
 * Tell what is kept, oldest first. Returns the newest answer, and how many could not be told. A tick that the server
 * refuses (a drill called back meanwhile) is dropped: it would be refused for ever.
 */
async function tellNow(owner: string): Promise<{ practice: Practice | null; left: number }> {
  let practice: Practice | null = null;
  for (const one of read(owner)) {
    const { day, ...told } = one.told;
    try {
      practice = await tick({ membership_id: owner, assignment_id: one.assignment_id, day }, told);
    } catch (error) {
      const refused = error instanceof Problem && [404, 422].includes(error.status);
      if (!refused) return { practice, left: read(owner).length };
    }
    // Ticked again while it was on its way: then the newer one is still to be told.
    write(
      owner,
      read(owner).filter((other) => !same(other, one.assignment_id, day) || JSON.stringify(other.told) !== JSON.stringify(one.told)),
    );
  }
  return { practice, left: read(owner).length };
}
