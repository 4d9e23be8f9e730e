import type { QueueAsked } from "../../api/calls";
import type { QueueFilters, QueueName } from "../../api/types";
import { PURPOSE_WORDS, VIEW_WORDS } from "../../words/golf";
import { reasonName } from "./reasons";

export const NO_FILTERS: QueueFilters = { search: "", view: null, purpose: null, club: null, reason: null, drafted: null };

export const TABS: { id: QueueName; name: string; none: string }[] = [
  { id: "waiting", name: "Waiting", none: "Nothing is waiting. Well done." },
  { id: "mine", name: "With me", none: "You hold nothing." },
  { id: "claimed", name: "With anyone", none: "Nobody holds anything." },
  { id: "answered", name: "Answered", none: "Nothing has been answered yet." },
];

export const tabName = (queue: QueueName): string => TABS.find((tab) => tab.id === queue)?.name ?? queue;

const NAMES = Object.keys(NO_FILTERS) as (keyof QueueFilters)[];

/** How many of the filters narrow, the search left out. */
export const filtersSet = (filters: QueueFilters): number =>
  NAMES.filter((name) => name !== "search" && filters[name] !== null).length;

export const isNarrowed = (filters: QueueFilters): boolean => filters.search.trim() !== "" || filtersSet(filters) > 0;

export const sameAsked = (a: QueueAsked, b: QueueAsked): boolean =>
  a.state === b.state &&
  NAMES.every((name) => (name === "search" ? a.filters.search.trim() === b.filters.search.trim() : a.filters[name] === b.filters[name]));

export const clubName = (club: string): string => club || "No club named";
export const DRAFTED_WORDS = { mine: "With a draft of mine", not_mine: "Without one of mine" } as const;

/** What the list is narrowed to, for a person: "Late, Face-on, “7 iron”". */
export function filterWords(filters: QueueFilters): string {
  return [
    filters.reason && reasonName(filters.reason),
    filters.view && VIEW_WORDS[filters.view],
    filters.purpose && PURPOSE_WORDS[filters.purpose].name,
    filters.club === null ? null : clubName(filters.club),
    filters.drafted && DRAFTED_WORDS[filters.drafted],
    filters.search.trim() && `“${filters.search.trim()}”`,
  ]
    .filter(Boolean)
    .join(", ");
}

const PART_WORDS: Record<string, string> = {
  queue: "which list",
  search: "the search",
  view: "the camera's view",
  purpose: "the kind of swing",
  club: "the club",
  reason: "the reason",
  drafted: "whose draft",
};

/** What of a saved view is not known any more, in words. */
export const brokenWords = (broken: readonly string[]): string =>
  broken.map((part) => PART_WORDS[part] ?? `“${part}”`).join(", ");
