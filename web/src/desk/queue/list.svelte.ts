import * as calls from "../../api/calls";
import type { QueueAsked } from "../../api/calls";
import { Problem, wordsOf } from "../../api/problem";
import type { FilterCounts, Queue, QueueItem, Review } from "../../api/types";
import { NO_FILTERS, isNarrowed } from "./filters";
import { byDue, byNewest, follow } from "./order";

/** The queue's list as the page has it: what is loaded, what changes, what the coach holds. */

const FIRST_PAGE = 100;
const PAGE = 200;
const COUNTS_AT_MOST_EVERY_MS = 3_000;

/** A claim that ended without its coach's doing. */
export interface Lapse {
  id: string;
  name: string;
  /** Who has it now; null while it waits. */
  taker: string | null;
}

/** Where the coach was, so that the way back from a review leads there. */
let left: { asked: QueueAsked; active: string | null } | null = null;

export class QueueList {
  asked = $state.raw<QueueAsked>(left?.asked ?? { state: "waiting", filters: NO_FILTERS });
  /** What the items are of: another queue is asked for before it is here. */
  shown = $state.raw<QueueAsked>(this.asked);
  items = $state.raw<QueueItem[]>([]);
  loaded = $state(false);
  found = $state(0);
  late = $state(0);
  counts = $state.raw<Record<string, number>>({});
  options = $state.raw<FilterCounts | null>(null);
  mine = $state.raw<QueueItem[]>([]);
  lapses = $state.raw<Lapse[]>([]);
  active = $state<string | null>(left?.active ?? null);
  trouble = $state("");
  /** For who cannot see it happen. */
  said = $state("");
  busy = $state(false);
  wantsOptions = false;

  #cursor = $state<string | null>(null);
  #loadingMore = false;
  /** Answers to an older question are dropped. */
  #round = 0;
  #changed: Set<string> | "all" | null = null;
  #following: Promise<void> | null = null;
  #released = new Set<string>();
  #optionsAt = 0;
  #optionsTimer: ReturnType<typeof setTimeout> | undefined;
  #knowsMine = false;

  constructor(readonly me: string) {}

  get more(): boolean {
    return this.#cursor !== null;
  }

  get narrowed(): boolean {
    return isNarrowed(this.asked.filters);
  }

  /** Another queue, or narrowed in another way. */
  async open(asked: QueueAsked): Promise<void> {
    this.asked = asked;
    await this.look();
  }

  /** Read again as much as is loaded. */
  async look(): Promise<void> {
    const round = (this.#round += 1);
    const asked = this.asked;
    const another = asked !== this.shown;
    const wanted = another ? FIRST_PAGE : Math.max(FIRST_PAGE, this.items.length);
    try {
      const holding = this.#lookAtMine();
      let page = await calls.queue(asked, { limit: Math.min(wanted, PAGE) });
      const items = [...page.items];
      while (items.length < wanted && page.next_cursor !== null) {
        page = await calls.queue(asked, { cursor: page.next_cursor, limit: PAGE });
        items.push(...page.items);
      }
      await holding;
      if (round !== this.#round) return;
      if (another) this.active = null;
      this.shown = asked;
      this.items = items;
      this.#cursor = page.next_cursor;
      this.#count(page);
      this.loaded = true;
      this.trouble = "";
    } catch (error) {
      if (round === this.#round) this.trouble = wordsOf(error);
    }
    this.lookAtOptions();
  }

  /** The next page, when the last rows come near the window. */
  async loadMore(): Promise<void> {
    if (this.#cursor === null || this.#loadingMore || this.asked !== this.shown) return;
    this.#loadingMore = true;
    const round = this.#round;
    try {
      const page = await calls.queue(this.asked, { cursor: this.#cursor, limit: PAGE });
      if (round !== this.#round) return;
      const known = new Set(this.items.map((item) => item.id));
      this.items = [...this.items, ...page.items.filter((item) => !known.has(item.id))];
      this.#cursor = page.next_cursor;
      this.#count(page);
    } catch (error) {
      this.trouble = wordsOf(error);
    } finally {
      this.#loadingMore = false;
    }
  }

  /** Some reviews changed; null: perhaps all. While one change is being followed, others gather. */
  changed(ids: string[] | null): Promise<void> {
    if (ids === null) this.#changed = "all";
    else if (this.#changed !== "all") this.#changed = new Set([...(this.#changed ?? []), ...ids]);
    this.#following ??= this.#follow().finally(() => (this.#following = null));
    return this.#following;
  }

  async #follow(): Promise<void> {
    while (this.#changed !== null) {
      const changed = this.#changed;
      this.#changed = null;
      if (changed === "all" || changed.size > 60 || !this.loaded || this.asked !== this.shown) await this.look();
      else await this.#lookAt([...changed]);
    }
  }

  async #lookAt(ids: string[]): Promise<void> {
    const round = this.#round;
    try {
      const [page] = await Promise.all([calls.queue(this.asked, { only: ids, limit: PAGE }), this.#lookAtMine()]);
      if (round !== this.#round) return;
      const compare = this.asked.state === "answered" ? byNewest : byDue;
      const { items, came, went } = follow(this.items, ids, page.items, compare, this.more);
      this.items = items;
      this.#count(page);
      this.#say(came, went);
      this.lookAtOptions();
    } catch (error) {
      this.trouble = wordsOf(error);
    }
  }

  #count(page: Queue): void {
    this.counts = page.counts;
    this.found = page.found;
    this.late = page.late;
  }

  #say(came: QueueItem[], went: QueueItem[]): void {
    const words = [
      came.length === 1 ? `${came[0]?.student_name} came in.` : came.length > 1 ? `${came.length} came in.` : "",
      went.length === 1 ? `${went[0]?.student_name} is no longer in this list.` : went.length > 1 ? `${went.length} left this list.` : "",
    ];
    if (came.length + went.length > 0) this.said = words.filter(Boolean).join(" ");
  }

  /** What the coach holds, whichever list is open; what went from it without their doing has lapsed. */
  async #lookAtMine(): Promise<void> {
    const before = this.mine;
    const page = await calls.queue({ state: "mine", filters: NO_FILTERS }, { limit: PAGE });
    const there = new Set(page.items.map((item) => item.id));
    const gone = before.filter((item) => !there.has(item.id) && !this.#released.has(item.id));
    this.mine = page.items;
    this.lapses = this.lapses.filter((lapse) => !there.has(lapse.id));
    if (this.#knowsMine && gone.length > 0) await this.#explain(gone);
    this.#knowsMine = true;
  }

  async #explain(gone: QueueItem[]): Promise<void> {
    const only = gone.map((item) => item.id).slice(0, 60);
    const [waiting, held] = await Promise.all(
      (["waiting", "claimed"] as const).map((state) => calls.queue({ state, filters: NO_FILTERS }, { only })),
    );
    // Handed back in another tab, it waits with nobody's name; lapsed, it still has one.
    const lapsed = (waiting?.items ?? []).filter((item) => item.lapsed_from?.id === this.me);
    const taken = (held?.items ?? []).filter((item) => item.claimed_by !== null && item.claimed_by.id !== this.me);
    const news = [...lapsed, ...taken].map((item) => ({
      id: item.id,
      name: item.student_name,
      taker: item.claimed_by?.name ?? null,
    }));
    this.lapses = [...this.lapses.filter((one) => !news.some((other) => other.id === one.id)), ...news];
  }

  /** The numbers beside the filters, while they are on show. Not at every change: they count the whole queue. */
  lookAtOptions(): void {
    if (!this.wantsOptions) return;
    clearTimeout(this.#optionsTimer);
    const wait = this.options === null ? 0 : Math.max(0, this.#optionsAt + COUNTS_AT_MOST_EVERY_MS - Date.now());
    this.#optionsTimer = setTimeout(() => void this.#lookAtOptions(), wait);
  }

  async #lookAtOptions(): Promise<void> {
    const asked = this.asked;
    this.#optionsAt = Date.now();
    try {
      const options = await calls.filterCounts(asked);
      if (asked === this.asked) this.options = options;
    } catch (error) {
      this.trouble = wordsOf(error);
    }
  }

  /** Take a review; its id when it is the coach's now. */
  take = (id: string): Promise<string | null> => this.#taking(() => calls.claim(id));
  takeNext = (): Promise<string | null> => this.#taking(() => calls.claimNext(this.asked.filters));

  async #taking(act: () => Promise<Review>): Promise<string | null> {
    if (this.busy) return null;
    this.busy = true;
    try {
      return (await act()).id;
    } catch (error) {
      await this.look();
      const nothing = error instanceof Problem && error.code === "nothing_waiting";
      this.trouble = nothing ? (this.narrowed ? "Nothing that fits the filters is waiting." : "Nothing is waiting just now.") : wordsOf(error);
      return null;
    } finally {
      this.busy = false;
    }
  }

  async handBack(id: string): Promise<void> {
    if (this.busy) return;
    this.busy = true;
    this.#released.add(id);
    const name = [...this.mine, ...this.items].find((item) => item.id === id)?.student_name ?? "It";
    try {
      await calls.release(id);
      this.said = `${name} is back in the queue; the draft is kept.`;
      await this.changed([id]);
    } catch (error) {
      this.#released.delete(id);
      this.trouble = wordsOf(error);
    } finally {
      this.busy = false;
    }
  }

  dismiss(id: string): void {
    this.lapses = this.lapses.filter((lapse) => lapse.id !== id);
  }

  /** The page closes: remember where it was. */
  leave(): void {
    clearTimeout(this.#optionsTimer);
    left = { asked: this.asked, active: this.active };
  }
}
