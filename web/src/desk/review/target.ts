import type { Limits, Reading } from "../../api/types";

/** The four numbers of a target as they are typed: null where a field is empty or holds no number. */
export type Typed = Record<keyof Limits, number | null>;

export const FIELDS: readonly { id: keyof Limits; name: string }[] = [
  { id: "watch_low", name: "Just off, from" },
  { id: "good_low", name: "On target, from" },
  { id: "good_high", name: "On target, to" },
  { id: "watch_high", name: "Just off, to" },
];

/** What is wrong with the four numbers, in words; empty when nothing is. The server asks the same again. */
export function wrongWith(typed: Typed): string {
  const given = FIELDS.map((field) => typed[field.id]);
  const empty = given.findIndex((value) => value === null || !Number.isFinite(value));
  if (empty >= 0) return `Fill in “${FIELDS[empty]?.name}” with a number.`;
  const limits = given as number[];
  const falls = limits.findIndex((value, place) => place > 0 && value < (limits[place - 1] ?? value));
  if (falls > 0) return `“${FIELDS[falls - 1]?.name}” lies above “${FIELDS[falls]?.name}”: each of the four is at least as large as the one before it.`;
  if (limits[1] === limits[2]) return "The target has no width: its upper end must lie above its lower one.";
  return "";
}

export const isWhole = (typed: Typed): typed is Limits => wrongWith(typed) === "";

/** What the form of a target may do; the desk does it in line with the changes of the draft. */
export interface Targets {
  /** What is begun is kept under this name. */
  keptAs: string;
  /** The club of the clips; null when none was named. */
  club: string | null;
  set: (checkpoint: string, club: string | null, limits: Limits, reason: string) => Promise<void>;
  drop: (id: string) => Promise<void>;
}

/** What is written in the form and not set yet. */
export interface Begun {
  typed: Typed;
  onlyClub: boolean;
  reason: string;
}

/** The name that a begun target is kept by: one for each number of each swing. */
export const targetName = ({ clip_id, swing, checkpoint }: Pick<Reading, "clip_id" | "swing" | "checkpoint">): string => `target-${checkpoint}-${clip_id}-${swing}`;
