import type { DraftWords, Xy } from "../../api/types";
import { newKey } from "../../words/keys";
import type { PictureEdit } from "./edits";

/** What a coach wrote and the server has not confirmed, kept in this browser against a dead battery. */
export interface Kept extends DraftWords {
  at: string;
  /** What the server had when they were typed: tells whose change a difference is. Null from an older page. */
  base: DraftWords | null;
  /** Words that could not be joined with the server's, while the coach has not said what becomes of them. */
  left?: Left | null;
}

/** What a coach wrote in their own words, a paragraph each: to copy from a page that has nothing else of the review. */
export const wordsToCopy = ({ text, later, judgements, drills, what_changed }: DraftWords): string[] =>
  [text, ...later, ...judgements.map((one) => one.words), ...drills.map((one) => one.note), what_changed].map((words) => words.trim()).filter((words) => words !== "");

export type Left = DraftWords & { at: string };

/** A change of the picture that the server has not confirmed. */
export interface KeptEdit {
  id: string;
  edit: PictureEdit;
  /** What the server had there when it was made: a frame, a place, or null for the machine's. */
  was: number | Xy | null;
}

/** A change that was not taken over, by name, with the reason. Shown until the coach has seen it. */
export interface Refused {
  id: string;
  name: string;
  why: string;
}

export interface KeptEdits {
  edits: KeptEdit[];
  refused: Refused[];
}

const NOTHING_MORE = { later: [], judgements: [], by_eye: [], drawings: [], what_changed: "", base: null };
const NO_EDITS: KeptEdits = { edits: [], refused: [] };

/**
 * The name that what belongs to a review is kept under. One browser may serve several coaches: nobody is shown, or sends, what
 * another wrote and did not send, so each keeps under their membership.
 */
export const keptNameOf = (reviewId: string, membershipId: string): string => `${reviewId}@${membershipId}`;

/*
 * Each tab keeps under a name of its own, which outlives a reload: of two tabs neither throws away what the other
 * keeps. What a tab left behind that is closed is found by the next. `of`: as `keptNameOf` gives it.
 */
const ANSWER = "fairlead-answer-";
const EDITS = "fairlead-edits-";
const FORM = "fairlead-form-";
const TAB = "fairlead-tab";

/** Where a question to a colleague is kept that was not asked yet. */
export const questionNameOf = (of: string): string => `fairlead-question-${of}`;

const nameOf = (of: string, tab: string): string => `${ANSWER}${of}~${tab}`;
const editsOf = (of: string, tab: string): string => `${EDITS}${of}~${tab}`;

/** This tab's name; `anew` where another tab goes by it already, as one does that was made by doubling. */
export function tabName(anew = false): string {
  try {
    const before = anew ? null : sessionStorage.getItem(TAB);
    const name = before ?? newKey();
    sessionStorage.setItem(TAB, name);
    return name;
  } catch {
    return newKey();
  }
}

/** Tabs that keep something of a review, this one or closed ones. */
export function tabsThatKeep(of: string): string[] {
  try {
    const names = Array.from({ length: localStorage.length }, (_, index) => localStorage.key(index) ?? "");
    const ours = names.filter((name) => [ANSWER, EDITS].some((kind) => name.startsWith(`${kind}${of}~`)));
    return [...new Set(ours.map((name) => name.split("~")[1] ?? ""))];
  } catch {
    return [];
  }
}

/** Take over what a closed tab kept, where this one keeps nothing. */
export function takeOver(of: string, from: string, tab: string): void {
  for (const [theirs, mine] of [[nameOf(of, from), nameOf(of, tab)], [editsOf(of, from), editsOf(of, tab)]] as const) {
    const value = read(theirs);
    if (value === null || read(mine) !== null || !write(mine, value)) continue;
    remove(theirs);
  }
}

/** Whether it is kept now: without room, or where it is not allowed, the server's copy is the only one. */
export const keep = (of: string, tab: string, kept: Kept): boolean => write(nameOf(of, tab), kept);

export function kept(of: string, tab: string): Kept | null {
  const stored = read(nameOf(of, tab));
  // A page from before later things and judgements kept neither.
  return stored === null ? null : { ...NOTHING_MORE, ...(stored as Partial<Kept> & Pick<Kept, "text" | "drills" | "at">) };
}

export const letGo = (of: string, tab: string): void => remove(nameOf(of, tab));

/** Keep changes of the picture in the order they were made, and those that were refused. */
export function keepEdits(of: string, tab: string, { edits, refused }: KeptEdits): boolean {
  if (edits.length > 0 || refused.length > 0) return write(editsOf(of, tab), { edits, refused });
  remove(editsOf(of, tab));
  return true;
}

export const keptEdits = (of: string, tab: string): KeptEdits => ({
  ...NO_EDITS,
  ...(read(editsOf(of, tab)) as Partial<KeptEdits> | null),
});

/*
 * A form beside the draft (a phrase, a target, a label to be placed) goes out whole, when its button is pressed. Until then, or until
 * it is given up, what is written in it outlives a reload and an ended session as the draft does. `of`: whose or what it belongs to.
 */
const formOf = (of: string, what: string): string => `${FORM}${of}~${what}`;

/** Keep what is written in a form; null lets it go. */
export function keepForm(of: string, what: string, value: unknown): void {
  if (value === null) remove(formOf(of, what));
  else write(formOf(of, what), value);
}

/** What was being written in a form and neither saved nor given up; null when nothing was. */
export const keptForm = <Form>(of: string, what: string): Form | null => read(formOf(of, what)) as Form | null;

/** What is left in the forms of a review that went out has nowhere to go. */
export function letFormsGo(of: string): void {
  try {
    const names = Array.from({ length: localStorage.length }, (_, index) => localStorage.key(index) ?? "");
    for (const name of names) if (name.startsWith(formOf(of, ""))) remove(name);
  } catch {
    // Nothing was kept then.
  }
}

/** Nothing of a review is to be kept any more, of whatever tab: its student is erased, or the time to copy is over. */
export function letAllGo(of: string): void {
  for (const tab of tabsThatKeep(of)) for (const name of [nameOf(of, tab), editsOf(of, tab)]) remove(name);
  letFormsGo(of);
  remove(questionNameOf(of));
}

function write(name: string, value: unknown): boolean {
  try {
    localStorage.setItem(name, JSON.stringify(value));
    return true;
  } catch {
    return false;
  }
}

function read(name: string): unknown {
  try {
    return JSON.parse(localStorage.getItem(name) ?? "null") as unknown;
  } catch {
    return null;
  }
}

function remove(name: string): void {
  try {
    localStorage.removeItem(name);
  } catch {
    // Nothing was kept then.
  }
}
