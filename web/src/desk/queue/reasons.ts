import type { QueueItem, QueueReason, ReasonCode } from "../../api/types";
import type Icon from "../../look/Icon.svelte";
import type { ComponentProps } from "svelte";

/** Why an item stands out, in words, with a mark of its own: never by colour alone. */

type Mark = ComponentProps<typeof Icon>["name"];

export interface ReasonWords {
  code: ReasonCode;
  mark: Mark;
  words: string;
  urgent: boolean;
}

interface Saying {
  mark: Mark;
  /** As the filter names it. */
  name: string;
  urgent?: true;
  /** Where the row says more than the filter. */
  words?: (reason: QueueReason, me: string) => string;
}

/** The weightiest first. A new reason of the server is a line here. */
const SAYINGS: Record<ReasonCode, Saying> = {
  late: { mark: "late", name: "Late", urgent: true },
  due_soon: { mark: "wait", name: "Due soon", urgent: true, words: () => "Due soon: 80% of the time is gone" },
  due_half: { mark: "wait", name: "Half the time gone" },
  child: { mark: "child", name: "Child", words: () => "A child: a guardian reads along" },
  second_opinion: {
    mark: "note",
    name: "Second opinion asked",
    words: ({ coach }) => `${coach?.name ?? "A colleague"} asks for a second opinion`,
  },
  filmed_again: { mark: "film", name: "Filmed again", words: () => "Filmed again, as you asked" },
  proof: {
    mark: "proof",
    name: "Proof of a drill",
    words: ({ drills }) => (drills.length === 0 ? "Proof of a drill" : `Proof of ${drills.join(" and ")}`),
  },
  first_clip: { mark: "first", name: "First clip", words: () => "First clip of this student" },
  draft_left: { mark: "note", name: "Draft begun", words: draftWords },
  blind_read: { mark: "near", name: "Blind double read", words: () => "Blind double read: for figures of agreement" },
};

export const REASONS = Object.keys(SAYINGS) as ReasonCode[];

function draftWords({ coach, lapsed }: QueueReason, me: string): string {
  const how = lapsed ? "the claim ran out" : "handed back";
  return `Draft begun by ${coach === null ? "a coach" : coach.id === me ? "you" : coach.name}, ${how}`;
}

export const reasonName = (code: ReasonCode): string => SAYINGS[code].name;

/** A reason in words. One that this page does not know yet is left out. */
function say(reason: QueueReason, me: string): ReasonWords | null {
  const saying = SAYINGS[reason.code] as Saying | undefined;
  if (saying === undefined) return null;
  return {
    code: reason.code,
    mark: saying.mark,
    words: saying.words?.(reason, me) ?? saying.name,
    urgent: saying.urgent === true,
  };
}

const OF_THE_CLOCK = new Set<ReasonCode>(["late", "due_soon", "due_half"]);

type Dated = Pick<QueueItem, "due_at" | "half_at" | "soon_at" | "state" | "correcting" | "kind">;

/** What the clock says now: a page may stay open for hours after it was told. Only the student's own answer was promised. */
export function clockReason(item: Dated, now: Date): ReasonCode | null {
  if (item.state === "answered" || item.correcting || item.kind !== "main") return null; // nobody waits
  const passed = (iso: string): boolean => Date.parse(iso) <= now.getTime();
  if (passed(item.due_at)) return "late";
  if (passed(item.soon_at)) return "due_soon";
  return passed(item.half_at) ? "due_half" : null;
}

/** All reasons of an item as they hold now. */
export function reasonsNow(item: Dated & Pick<QueueItem, "reasons">, now: Date, me: string): ReasonWords[] {
  const clock = clockReason(item, now);
  const others = item.reasons.filter((reason) => !OF_THE_CLOCK.has(reason.code));
  const all = clock === null ? others : [{ code: clock, drills: [], coach: null, lapsed: false }, ...others];
  return all.flatMap((reason) => say(reason, me) ?? []);
}
