import type { Checkpoint, DrillChoice, Drill, Phrase, Review } from "../../api/types";
import { amount, measureOf, target } from "../../words/golf";
import { calendarDay } from "../../words/times";
import { judgedBy } from "../../answer/told";

/**
 * Phrases with their fields filled from the review at hand (`api/domain/phrases.py` says which fields there are), numbers
 * and dates as the student writes them.
 */

const FIELD = /\{([^{}]*)\}/g;
const TARGET = "target ";

/** What a field becomes that nothing fills: the coach sees it, and sending warns of it. */
export const gap = (what: string): string => `[${what}]`;
export const GAP = /\[[^\][\n]{1,60}\]/;

/** The name that a phrase being written is kept by. */
export const PHRASE = "phrase";

/** A phrase being written: a new one has no id. `key`: what the server knows a repeated sending by. */
export interface PhraseBegun extends Pick<Phrase, "version" | "name" | "body" | "shared"> {
  id: string | null;
  key: string;
  /** The review it was begun in: it opens by itself there alone. */
  begunIn: string;
}

/** What phrases are filled from. */
export interface At {
  review: Review;
  checkpoints: readonly Checkpoint[];
  drills: readonly DrillChoice[];
  library: readonly Drill[];
}

/** Fields to offer, in words, with what they would become now. */
export function fieldsAt(at: At): { field: string; name: string; now: string }[] {
  const plain = [
    { field: "student", name: "First name" },
    { field: "club", name: "Club" },
    { field: "drill", name: "First drill" },
    { field: "until", name: "Until when to practise" },
  ];
  const numbers = at.checkpoints.flatMap((one) => {
    const measured = at.review.readings.some((reading) => reading.checkpoint === one.id && reading.value !== null);
    if (!measured) return [];
    const own = [{ field: one.id as string, name: one.name }];
    return one.bands ? [...own, { field: TARGET + one.id, name: `${one.name}: target` }] : own;
  });
  return [...plain, ...numbers].map((one) => ({ ...one, now: valueOf(one.field, at) }));
}

export const filled = (body: string, at: At): string => body.replaceAll(FIELD, (_, name: string) => valueOf(name.trim(), at));

function valueOf(field: string, at: At): string {
  const { review, drills, library } = at;
  if (field === "student") return firstName(review.submission.student.name);
  if (field === "club") return review.submission.club?.name ?? gap("club");
  const drill = drills[0];
  if (field === "drill") return library.find((one) => one.id === drill?.drill_id)?.name ?? gap("drill");
  if (field === "until") return drill?.until ? calendarDay(drill.until, review.submission.student.language) : gap("until when");
  return numberOf(field, at);
}

function numberOf(field: string, { review, checkpoints }: At): string {
  const id = field.startsWith(TARGET) ? field.slice(TARGET.length) : field;
  const { language } = review.submission.student;
  const checkpoint = checkpoints.find((one) => one.id === id);
  // Of several swings the first, as everywhere.
  const reading = review.readings.find((one) => one.checkpoint === id && one.value !== null) ?? review.readings.find((one) => one.checkpoint === id);
  if (checkpoint === undefined) return gap(field);
  if (field.startsWith(TARGET)) {
    const { bands } = judgedBy(checkpoint, reading?.own_bands ?? null);
    return bands ? target(bands.good_low, bands.good_high, measureOf(checkpoint), language) : gap(`${checkpoint.name}: target`);
  }
  return reading?.value == null ? gap(checkpoint.name) : amount(reading.value, measureOf(checkpoint), language);
}

/** A title before it stays with the name: "Dr. Ada Lovelace" is not "Dr.". */
function firstName(name: string): string {
  const parts = name.trim().split(/\s+/);
  const first = parts.find((part) => !part.endsWith("."));
  return first ?? name;
}

/** Phrases that have all the words searched for, in name or body; own ones first. */
export function found(phrases: readonly Phrase[], search: string): Phrase[] {
  const wanted = search.toLowerCase().split(/\s+/).filter(Boolean);
  const fits = (one: Phrase): boolean => wanted.every((word) => `${one.name} ${one.body}`.toLowerCase().includes(word));
  return [...phrases.filter((one) => !one.shared), ...phrases.filter((one) => one.shared)].filter(fits);
}

/** `words` at the cursor of `text`, a space or a line apart from what stands there; and where the cursor then is. */
export function inserted(text: string, from: number, to: number, words: string): { text: string; cursor: number } {
  const before = text.slice(0, from);
  const after = text.slice(to);
  const left = before === "" || /\s$/.test(before) ? "" : " ";
  const right = after === "" || /^[\s.,;:!?]/.test(after) ? "" : " ";
  return { text: before + left + words + right + after, cursor: (before + left + words).length };
}
