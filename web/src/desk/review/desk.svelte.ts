import * as calls from "../../api/calls";
import type { Place } from "../../api/calls";
import type { Answered } from "../../api/client";
import { Problem, wordsOf } from "../../api/problem";
import type { CheckpointId, DraftWords, NewFilm, OwnWords, Review, Xy } from "../../api/types";
import { session } from "../../session/session.svelte";
import { newKey } from "../../words/keys";
import { Draft } from "./draft.svelte";
import { doseFaults } from "./dose";
import { EMPTY_HISTORY, type Edit, type PictureEdit } from "./edits";
import { GIVEN_UP_AFTER_MS, NO_LINE, NOT_KNOWN, TOO_SLOW, TOO_SLOW_AFTER_MS, WAITS_AFTER_MS, type Ending, type EndingKind, type NotOut } from "./ending";
import { keep, keepEdits, kept, keptEdits, keptNameOf, letAllGo, letFormsGo, letGo, tabName, tabsThatKeep, takeOver, type KeptEdit, type Left, type Refused } from "./keep";
import { mergeWords, nameOfEdit, sameWords, sortEdits, standing, wordsOfDraft } from "./merge";
import type { Targets } from "./target";

export type Saving =
  | { kind: "saved"; at: Date | null }
  | { kind: "saving" }
  /** The server did not take it, and will not by waiting: `words` say why. */
  | { kind: "refused"; words: string }
  | { kind: "dropped"; words: string };

/** From the first letter that is not saved: somebody who never stops typing is saved all the same. */
const WRITE_AFTER_MS = 600;
const TRY_AGAIN_MS = 3_000;
const OTHER_TABS_ANSWER_MS = 150;
/** The claim is gone: to somebody else, to the queue, or because the review has ended. */
const LOST = new Set(["already_claimed", "not_claimed", "already_answered", "already_committed", "not_blind", "closed"]);
/** Nothing may be said about the clips just now; only who had the review is told so. */
const STOPPED = "review_stopped";
/** The student's data is erased, or about to be: nothing of the review is kept here either. */
const ERASED = "review_erased";
const GONE = new Set([STOPPED, ERASED]);
const CHANGED_ELSEWHERE = "It was changed in another tab or on another device meanwhile, and that change stands.";
const MOMENT_NOT_MOVED = "It was placed on the frame of a moment that was not taken over.";

/** One thing to tell the server. Without `onFail` it waits for the line and is told of when it is refused. */
interface Work {
  call: (etag: string) => Promise<Answered<Review> | null>;
  done: () => void;
  refused: (why: string) => void;
  onFail?: (error: unknown) => void;
  isWords?: boolean;
  editId?: string;
}

interface Said {
  from: string;
  kind: "hello" | "here" | "bye" | "saved";
  version?: number;
}

/** Forms beside the draft whose words were meant for the student. */
export type Begun = "finding" | "label";

export const placeKey = (place: Place): string => `${place.clipId}/${place.swing}/${place.keyframe}`;

/**
 * One open review. Every change goes to the server in order, each with the ETag of the one before. Until it is
 * confirmed it is kept in this browser too: a dead line, a reload, an ended session or a lost claim stop the
 * line of changes, and none of them throws anything away.
 */
export class ReviewDesk extends Draft {
  review = $state.raw<Review | null>(null);
  saving = $state<Saving>({ kind: "saved", at: null });
  trouble = $state("");
  /** Changed in another tab or on another device: nothing is sent until the coach reloads. */
  stale = $state(false);
  /** Why this coach no longer holds the review; what they wrote is kept. */
  lost = $state("");
  /** Why the review cannot be worked on at all just now: it is shown no more, only what this coach wrote. */
  gone = $state("");
  /** Of a review that is gone: what this coach wrote in it that this browser has. */
  mine = $state.raw<DraftWords | null>(null);
  /** Of a review that was stopped: what this coach wrote that the server has, and until when they may copy it. */
  own = $state.raw<OwnWords | null>(null);
  /** The session ended, or somebody else signed in: the line waits until this coach is back. */
  signedOut = $state<"" | "ended" | "other">("");
  /** Open in another tab of this browser too. */
  elsewhere = $state(false);
  /** Words from this browser that cannot be joined with the server's. */
  left = $state.raw<Left | null>(null);
  /** Changes of the picture that were not taken over. */
  refused = $state.raw<Refused[]>([]);
  /** How many unsaved changes of an earlier visit were put back by the page. */
  putBack = $state(0);
  /** Points being moved or on their way to the server, by place and point. */
  moving = $state<Record<string, Xy | null>>({});
  /** Instants on their way to the server, by place: a frame, or null for the machine's. */
  marking = $state<Record<string, number | null>>({});
  /** Sending or another end was pressed and is under way: what stood then is locked until it went out or did not. */
  ending = $state.raw<Ending | null>(null);
  /** Why what was pressed last did not happen, where nothing else on the page says it. */
  notOut = $state.raw<NotOut | null>(null);

  /** What is written in a form beside the draft and neither added nor placed: it is no part of what goes out, so who sends is told. */
  begun = $state<Partial<Record<Begun, string>>>({});

  #etag = "";
  #base: DraftWords | null = null;
  #work: Work[] = [];
  #running: Promise<void> | null = null;
  #wake: () => void = () => undefined;
  #timer: ReturnType<typeof setTimeout> | undefined;
  #unsaved = false;
  #wordsKept = true;
  #editsKept = true;
  #pending: KeptEdit[] = [];
  #sendKey = newKey();
  #letBe: () => void = () => undefined;
  #tab = tabName();
  #channel: BroadcastChannel | null = null;
  #others = new Set<string>();

  /** Under which name what is not with the server yet is kept here: this review's, and this coach's alone. */
  readonly keptAs: string;

  constructor(readonly id: string) {
    super();
    this.keptAs = keptNameOf(id, this.#mine ?? "");
  }

  get mayEdit(): boolean {
    return this.holds && this.ending === null;
  }

  /** While something is on its way out all stays in its place on the page and does nothing: nothing moves under the hand. */
  get locked(): boolean {
    return this.holds && this.ending !== null;
  }

  /** It is this coach's to work on, whether or not something is on its way out just now. */
  get holds(): boolean {
    return this.review?.state === "claimed" && !this.#halted;
  }

  /** Something is neither with the server nor kept here, or is just being sent: closing the tab would lose it. */
  get atRisk(): boolean {
    return this.ending !== null || (this.#unsaved && !this.#wordsKept) || (this.#pending.length > 0 && !this.#editsKept);
  }

  begin(form: Begun, words: string): void {
    if (words.trim() === "") delete this.begun[form];
    else this.begun[form] = words.trim();
  }

  get #halted(): boolean {
    return this.stale || this.lost !== "" || this.gone !== "";
  }

  async load(): Promise<void> {
    try {
      const answered = await calls.review(this.id);
      this.#work = [];
      this.stale = false;
      this.lost = "";
      this.gone = "";
      this.mine = null;
      this.own = null;
      this.trouble = "";
      this.#take(answered);
      const holder = answered.data.claimed_by?.id;
      if (answered.data.state === "claimed" && this.#mine !== null && holder !== undefined && holder !== this.#mine) {
        this.lost = `${answered.data.claimed_by?.name ?? "Another coach"} has this review.`;
      }
      this.#adopt();
    } catch (error) {
      if (error instanceof Problem && error.status === 404) {
        this.#isGone(error);
        return;
      }
      this.trouble = wordsOf(error);
      if (error instanceof Problem && error.status === 401) await this.#signInAgain();
      else if (!(error instanceof Problem && error.offline)) return;
      if (this.review === null) {
        await this.#pause();
        await this.load();
      }
    }
  }

  get #mine(): string | null {
    return session.standing.kind === "in" ? session.standing.me.active.id : null;
  }

  /** Fetch the review again for fresh media links; what is typed stays. */
  async refresh(): Promise<void> {
    try {
      const answered = await calls.review(this.id);
      if (answered.data.version === this.review?.version) this.#take(answered);
      else this.stale = true;
      this.trouble = "";
    } catch (error) {
      this.trouble = wordsOf(error);
    }
  }

  /** Hear of other tabs, of the line coming back, and say goodbye at the end. */
  listen(): () => void {
    const online = (): void => this.#wake();
    // A tab that is closed says goodbye, and hello again when it is brought back as it was.
    const away = (): void => this.#say({ kind: "bye" });
    const back = (event: PageTransitionEvent): void => {
      if (event.persisted) this.#say({ kind: "hello" });
    };
    globalThis.addEventListener("online", online);
    globalThis.addEventListener("pagehide", away);
    globalThis.addEventListener("pageshow", back);
    if (typeof BroadcastChannel === "function") {
      this.#channel = new BroadcastChannel(`fairlead-review-${this.id}`);
      this.#channel.onmessage = (event: MessageEvent<Said>) => this.#hear(event.data);
      this.#say({ kind: "hello" });
    }
    return () => {
      globalThis.removeEventListener("online", online);
      globalThis.removeEventListener("pagehide", away);
      globalThis.removeEventListener("pageshow", back);
      this.#say({ kind: "bye" });
      this.#channel?.close();
      this.#channel = null;
    };
  }

  /** Hear of other tabs first, so that what a closed one kept is not mistaken for an open one's. */
  async open(): Promise<void> {
    if (this.#channel !== null && tabsThatKeep(this.keptAs).some((tab) => tab !== this.#tab)) {
      await new Promise((resolve) => setTimeout(resolve, OTHER_TABS_ANSWER_MS));
    }
    const closed = tabsThatKeep(this.keptAs).filter((tab) => tab !== this.#tab && !this.#others.has(tab));
    for (const tab of closed) takeOver(this.keptAs, tab, this.#tab);
    await this.load();
  }

  #say(what: Omit<Said, "from">): void {
    this.#channel?.postMessage({ from: this.#tab, ...what } satisfies Said);
  }

  #hear({ from, kind, version }: Said): void {
    if (kind === "bye") this.#others.delete(from);
    else if (from === this.#tab) this.#tab = tabName(true);
    else this.#others.add(from);
    this.elsewhere = this.#others.size > 0;
    if (kind === "hello") this.#say({ kind: "here" });
    if (kind !== "saved" || this.review === null || version === undefined || version <= this.review.version) return;
    // With nothing of its own under way this tab just follows.
    const idle = !this.#unsaved && this.#work.length === 0 && Object.keys(this.moving).length === 0;
    if (idle && !this.#halted) void this.load();
    else if (!this.#halted && this.#running === null) this.stale = true;
  }

  #take(answered: Answered<Review>): void {
    this.review = answered.data;
    this.#etag = answered.etag ?? `"${answered.data.version}"`;
  }

  /** Show the server's words, joined with those that only this browser has; carry on with changes that it never got. */
  #adopt(): void {
    const server = wordsOfDraft(this.review!.draft);
    const here = kept(this.keptAs, this.#tab);
    const { words, clash } = here === null ? { words: server, clash: false } : mergeWords(here, here.base, server);
    this.#base = server;
    this.#unsaved = false;
    this.history = EMPTY_HISTORY;
    this.stepped = "";
    this.moving = {};
    this.marking = {};
    this.putBack = 0;
    const before = keptEdits(this.keptAs, this.#tab);
    this.#pending = before.edits;
    this.refused = before.refused;
    if (!this.holds) {
      this.show(server);
      this.left = here !== null && !sameWords(here, server) ? here : null;
      return;
    }
    this.show(words);
    this.left = clash ? here : (here?.left ?? null);
    const { fit, clash: clashing } = sortEdits(before.edits, this.review!.draft);
    this.#pending = fit;
    for (const one of clashing) this.#refuse(one, one.edit.kind === "point" && clashing.some(isMomentOf(one)) ? MOMENT_NOT_MOVED : CHANGED_ELSEWHERE);
    this.#keepEdits();
    for (const one of fit) this.#sendEdit(one);
    this.putBack = fit.length;
    if (sameWords(words, server)) {
      this.#confirmed();
      return;
    }
    this.putBack += 1;
    this.wrote();
    void this.flush();
  }

  useLeft(): void {
    if (this.left === null || this.ending !== null) return;
    this.show(this.left);
    this.left = null;
    this.wrote();
  }

  dropLeft(): void {
    this.left = null;
    if (this.#unsaved) this.#keepWords();
    else this.#confirmed();
  }

  /** The coach has seen what was not taken over. */
  dropRefused(): void {
    this.refused = [];
    this.#keepEdits();
  }

  // Words

  /** Call after every change of text or drills: kept here at once, sent soon after. */
  override wrote(): void {
    this.notOut = null;
    this.#unsaved = true;
    this.#keepWords();
    if (this.saving.kind !== "dropped") this.saving = { kind: "saving" };
    this.#timer ??= setTimeout(() => void this.flush(), WRITE_AFTER_MS);
  }

  #keepWords(): void {
    this.#wordsKept = keep(this.keptAs, this.#tab, { ...this.words(), base: this.#base, left: this.left, at: new Date().toISOString() });
  }

  /** The server has the words: nothing is kept but what waits for the coach's decision. */
  #confirmed(): void {
    if (this.left === null) letGo(this.keptAs, this.#tab);
    else this.#keepWords();
  }

  /** Send what is typed now. Resolves when everything in the line has been answered. */
  async flush(): Promise<void> {
    this.settle();
    clearTimeout(this.#timer);
    this.#timer = undefined;
    if (this.#unsaved && this.holds) {
      // Words that wait for the line already are sent as they are when it is back.
      if (!this.#work.slice(1).some((one) => one.isWords)) this.#queue(this.#wordsToSend());
    }
    await this.#run();
  }

  #wordsToSend(): Work {
    return {
      isWords: true,
      call: (etag) => {
        this.#unsaved = false;
        return calls.patchDraft(this.id, this.words(), etag).catch((error: unknown) => {
          this.#unsaved = true;
          throw error;
        });
      },
      done: () => {
        this.#base = wordsOfDraft(this.review!.draft);
        if (!this.#unsaved) this.#confirmed();
      },
      // Still unsaved and kept: the next letter tries again.
      refused: () => undefined,
    };
  }

  // Picture

  /** Show a point where it is being moved to; nothing is sent yet. */
  hold(place: Place, point: string, at: Xy): void {
    this.moving[`${placeKey(place)}/${point}`] = at;
  }

  /** A point that was held goes back to where it stands. */
  letBe(place: Place, point: string): void {
    delete this.moving[`${placeKey(place)}/${point}`];
  }

  /** While an end is under way nothing is changed: what goes out is what was on the page when it was pressed. */
  override edit(edit: Edit, merge = false): void {
    if (this.ending === null) super.edit(edit, merge);
    else if (edit.kind === "point") this.letBe(edit.place, edit.point);
  }

  override undo(): void {
    if (this.ending === null) super.undo();
  }

  override redo(): void {
    if (this.ending === null) super.redo();
  }

  /** Where a point was put that the server has not confirmed: null for the machine's place, undefined when none is on its way. */
  onItsWay(place: Place, point: string): Xy | null | undefined {
    const last = this.#pending.findLast(({ edit }) => edit.kind === "point" && edit.point === point && placeKey(edit.place) === placeKey(place));
    return last?.edit.kind === "point" ? last.edit.to : undefined;
  }

  /** Where the coach has put a point, confirmed or on its way; null where the machine's stands. */
  placed(place: Place, point: string): Xy | null {
    const newest = this.onItsWay(place, point);
    if (newest !== undefined) return newest;
    const found = this.review?.draft.points.find(
      (item) => item.clip_id === place.clipId && item.swing === place.swing && item.keyframe === place.keyframe && item.point === point,
    );
    return found ? [found.x, found.y] : null;
  }

  protected override carryOut(edit: Edit): void {
    if (edit.kind === "draft") this.put(edit);
    else if (edit.kind === "several") edit.edits.forEach((one) => this.#change(one));
    else this.#change(edit);
  }

  #change(edit: PictureEdit): void {
    const one: KeptEdit = { id: newKey(), edit, was: this.review === null ? null : standing(this.review.draft, edit) };
    this.#pending = [...this.#pending, one];
    this.#keepEdits();
    this.#sendEdit(one);
  }

  #sendEdit(one: KeptEdit): void {
    const { edit } = one;
    const { place } = edit;
    if (edit.kind === "mark") {
      const { to } = edit;
      const where = placeKey(place);
      this.marking[where] = to;
      this.#settling(
        one,
        (etag) => (to === null ? calls.dropMark(this.id, place, etag) : calls.putMark(this.id, place, to, etag)),
        () => {
          if (this.marking[where] === to) delete this.marking[where];
        },
      );
      return;
    }
    const key = `${placeKey(place)}/${edit.point}`;
    const { point, to } = edit;
    this.moving[key] = to;
    this.#settling(
      one,
      (etag) =>
        to === null
          ? calls.dropPoint(this.id, place, point, etag)
          : calls.putPoint(this.id, place, point, { x: to[0], y: to[1] }, etag),
      () => {
        // A newer move of the same point may be under way: its place stays until it is answered.
        if (this.moving[key] === to || same(this.moving[key] ?? null, to)) delete this.moving[key];
      },
    );
  }

  #settling(one: KeptEdit, call: Work["call"], settle: () => void): void {
    this.#queue({
      editId: one.id,
      call,
      done: () => {
        settle();
        this.#forget([one]);
      },
      refused: (why) => {
        settle();
        this.#refuse(one, why);
        // Points placed on the frame of a moment that was not moved would land on another one.
        if (one.edit.kind === "mark") for (const after of this.#pending.filter((other) => isMomentOf(other)(one))) this.#dropWork(after);
        this.#keepEdits();
      },
    });
    void this.#run();
  }

  #dropWork(one: KeptEdit): void {
    if (one.edit.kind !== "point") return;
    this.#work = this.#work.filter((work) => work.editId !== one.id);
    delete this.moving[`${placeKey(one.edit.place)}/${one.edit.point}`];
    this.#refuse(one, MOMENT_NOT_MOVED);
  }

  #refuse(one: KeptEdit, why: string): void {
    this.refused = [...this.refused.filter((other) => other.id !== one.id), { id: one.id, name: nameOfEdit(one.edit), why }];
    this.#pending = this.#pending.filter((other) => other.id !== one.id);
  }

  #forget(edits: readonly KeptEdit[]): void {
    this.#pending = this.#pending.filter((one) => !edits.includes(one));
    this.#keepEdits();
  }

  #keepEdits(): void {
    this.#editsKept = keepEdits(this.keptAs, this.#tab, { edits: this.#pending, refused: this.refused });
  }

  // The student's own targets

  /** None while the clips are read beside the answer: the student's targets are the business of who answers. */
  get targets(): Targets | null {
    if (this.review !== null && this.review.kind !== "main") return null;
    const submission = this.review?.submission;
    const student = submission?.student.id ?? "";
    return {
      keptAs: this.keptAs,
      club: submission?.club?.name ?? null,
      set: (checkpoint, club, limits, reason) => {
        const target = { checkpoint: checkpoint as CheckpointId, club, reason, ...limits };
        return this.#retarget(() => calls.setTarget(student, target, newKey()));
      },
      drop: (id) => this.#retarget(() => calls.dropTarget(student, id)),
    };
  }

  /** A target counts as one change of the draft: read it again, and notice any other that came between. */
  async #retarget(act: () => Promise<unknown>): Promise<void> {
    await this.flush();
    await new Promise<void>((resolve, reject) => {
      this.#queue({
        call: async () => {
          const before = this.review?.version ?? 0;
          await act();
          const answered = await calls.review(this.id);
          if (answered.data.version === before + 1) return answered;
          this.stale = true;
          return null;
        },
        done: resolve,
        refused: () => undefined,
        onFail: reject,
      });
      void this.#run().then(resolve);
    });
  }

  // The line

  #queue(work: Work): void {
    this.#work.push(work);
  }

  #run(): Promise<void> {
    this.#running ??= this.#runAll();
    return this.#running;
  }

  async #runAll(): Promise<void> {
    await Promise.resolve(); // whoever asked has the promise before it can end
    try {
      for (let next = this.#work[0]; next !== undefined && !this.#halted; next = this.#work[0]) await this.#runOne(next);
    } finally {
      // In the same breath as the last look: what is queued from now on starts a run of its own.
      this.#running = null;
    }
  }

  async #runOne(work: Work): Promise<void> {
    const over = (): unknown => (this.#work = this.#work.filter((one) => one !== work));
    if (this.saving.kind !== "dropped") this.saving = { kind: "saving" };
    try {
      const answered = await work.call(this.#etag);
      over();
      if (answered !== null) {
        this.#take(answered);
        this.#say({ kind: "saved", version: answered.data.version });
      }
      work.done();
      this.trouble = "";
      this.signedOut = "";
      this.saving = this.#unsaved ? { kind: "saving" } : { kind: "saved", at: new Date() };
    } catch (error) {
      if (work.onFail) {
        over();
        work.onFail(error);
        return;
      }
      if (!(error instanceof Problem)) throw error;
      await this.#failed(error, work, over);
    }
  }

  async #failed(error: Problem, work: Work, over: () => unknown): Promise<void> {
    if (error.status === 412) {
      this.stale = true;
      this.saving = { kind: "saved", at: null };
    } else if (GONE.has(error.code)) {
      this.#isGone(error);
    } else if (error.status === 409 && LOST.has(error.code)) {
      await this.#lose(error);
    } else if (error.status === 401) {
      await this.#signInAgain();
    } else if (error.status === 403 && error.code === "csrf") {
      // Signed in anew in another tab: the page's word is an old one.
      if ((await session.again()) !== "same") await this.#signInAgain();
    } else if (error.offline || error.status >= 500 || error.status === 429) {
      this.saving = { kind: "dropped", words: wordsOf(error) };
      await this.#pause();
    } else {
      over();
      work.refused(wordsOf(error));
      this.trouble = wordsOf(error);
      this.saving = { kind: "refused", words: wordsOf(error) };
    }
  }

  async #pause(): Promise<void> {
    await new Promise<void>((resolve) => {
      const timer = setTimeout(resolve, TRY_AGAIN_MS);
      this.#wake = () => {
        clearTimeout(timer);
        resolve();
      };
    });
  }

  /** Wait until this coach is signed in again, in another tab; what they typed stays on the page. */
  async #signInAgain(): Promise<void> {
    this.saving = { kind: "dropped", words: "You are signed out." };
    for (;;) {
      const who = await session.again();
      if (who === "same") break;
      this.signedOut = who === "other" ? "other" : "ended";
      await this.#pause();
    }
    this.signedOut = "";
    this.trouble = "";
  }

  /** What is on the page, or kept from an earlier visit, is this coach's own: it stays kept, and theirs to copy. */
  #isGone(error: Problem): void {
    this.gone = wordsOf(error);
    this.saving = { kind: "saved", at: null };
    if (error.code === ERASED) {
      this.#keepNothing();
      return;
    }
    if (this.review !== null && this.#mine !== null && this.review.claimed_by?.id === this.#mine) {
      this.mine = this.words();
      this.#keepWords();
    } else {
      this.mine = kept(this.keptAs, this.#tab);
    }
    if (error.code === STOPPED) void this.#askForOwn();
  }

  #keepNothing(): void {
    this.mine = null;
    this.own = null;
    this.review = null;
    this.#pending = [];
    letAllGo(this.keptAs);
  }

  /** What is saved is with the server alone. */
  async #askForOwn(): Promise<void> {
    try {
      this.own = await calls.ownWords(this.id);
    } catch (error) {
      // Of no answer nothing is known: what is kept here stays.
      if (error instanceof Problem && (error.code === ERASED || error.code === "own_words_over")) this.#keepNothing();
      if (error instanceof Problem && error.status === 404 && error.code !== "not_found") this.gone = wordsOf(error);
    }
  }

  async #lose(error: Problem): Promise<void> {
    this.lost = wordsOf(error);
    this.saving = { kind: "saved", at: null };
    try {
      this.#take(await calls.review(this.id));
    } catch {
      // How it stands is told by the refusal.
    }
  }

  /** Take the review up again after the claim ended; what is kept here is joined with the newest state. */
  async takeAgain(): Promise<void> {
    try {
      await calls.claim(this.id);
      await this.load();
    } catch (error) {
      this.trouble = wordsOf(error);
    }
  }

  // Ends

  /** Send what stands now to the student. False when it did not go out: the page says why. */
  send(): Promise<boolean> {
    return this.#out("send", (signal) => calls.send(this.id, this.#etag, this.#sendKey, signal));
  }

  /** Let a second opinion or a blind read stand; it cannot be changed afterwards. */
  commit(): Promise<boolean> {
    return this.#out("commit", (signal) => calls.commit(this.id, this.#etag, this.#sendKey, signal));
  }

  /** Let be what was pressed last, while it has not gone out. */
  letItBe(): void {
    this.#letBe();
  }

  #out(kind: EndingKind, call: (signal: AbortSignal) => Promise<Answered<Review>>): Promise<boolean> {
    return this.#end(kind, async (signal) => {
      // What was refused on the way is told first: the answer would not be the one on the page.
      if (this.#halted || this.#unsaved || this.refused.length > 0) return false;
      // What is on the page is not what the server has then.
      if (this.drills.some((drill) => doseFaults(drill).length > 0)) return false;
      return this.#finish(() => call(signal), () => {
        letGo(this.keptAs, this.#tab);
        letFormsGo(this.keptAs);
        this.#sendKey = newKey();
      });
    });
  }

  /** What stands now is locked and saved, then `act` is done; or it is given up, and stays as it was. */
  async #end(kind: EndingKind, act: (signal: AbortSignal) => Promise<boolean>): Promise<boolean> {
    if (this.ending !== null) return false;
    this.settle();
    this.notOut = null;
    this.ending = { kind, stage: "saving", waits: false };
    try {
      if (!(await this.#savedInTime())) return false;
      this.ending = { kind, stage: "out", waits: false };
      const over = new AbortController();
      const timers = [setTimeout(() => this.#waits(), WAITS_AFTER_MS), setTimeout(() => over.abort(), TOO_SLOW_AFTER_MS)];
      try {
        return await act(over.signal);
      } finally {
        timers.forEach(clearTimeout);
      }
    } finally {
      this.ending = null;
    }
  }

  /** Whether everything was answered soon enough after the press, and nobody thought better of it. */
  async #savedInTime(): Promise<boolean> {
    const pressed = Date.now();
    const timers: ReturnType<typeof setTimeout>[] = [];
    const after = (ms: number, say: () => string | null): Promise<string | null> =>
      new Promise((resolve) => {
        timers.push(
          setTimeout(() => {
            const why = say();
            if (why !== null) resolve(why);
          }, ms),
        );
      });
    const why = await Promise.race([
      // A laptop that slept meanwhile comes back here: what was pressed then is over.
      this.flush()
        .then(() => this.#lineIsThere())
        .then((there) => (!there ? NO_LINE : Date.now() - pressed > TOO_SLOW_AFTER_MS ? TOO_SLOW : "")),
      new Promise<null>((resolve) => (this.#letBe = () => resolve(null))),
      after(WAITS_AFTER_MS, () => {
        this.#waits();
        return null;
      }),
      after(GIVEN_UP_AFTER_MS, () => (this.saving.kind === "dropped" ? NO_LINE : null)),
      after(TOO_SLOW_AFTER_MS, () => (this.saving.kind === "dropped" ? NO_LINE : TOO_SLOW)),
    ]);
    timers.forEach(clearTimeout);
    this.#letBe = () => undefined;
    // Signed out is said by the page in words of its own.
    if (why !== null && why !== "" && !this.signedOut) this.#notOut(why);
    return why === "";
  }

  /** Asked first, so that with a dead line nothing is tried of which nobody could say whether it went out. */
  async #lineIsThere(): Promise<boolean> {
    if (!this.holds) return true;
    try {
      await calls.renew(this.id);
      return true;
    } catch (error) {
      // Any answer is a line; what it says is said again to what was pressed.
      return !(error instanceof Problem && error.offline);
    }
  }

  #notOut(words: string): void {
    if (this.ending !== null) this.notOut = { kind: this.ending.kind, words };
  }

  #waits(): void {
    if (this.ending !== null) this.ending = { ...this.ending, waits: true };
  }

  recall = (): Promise<boolean> => this.#begin(() => calls.recall(this.id));

  /** Open the answer again to correct it; the student reads it meanwhile. */
  correct = (): Promise<boolean> => this.#begin(() => calls.correct(this.id));

  /** The draft is open again: its words are the server's. */
  async #begin(call: () => Promise<Answered<Review>>): Promise<boolean> {
    const done = await this.#finish(call);
    if (done) {
      this.lost = "";
      this.#adopt();
    }
    return done;
  }

  askRefilm = (film: NewFilm): Promise<boolean> =>
    this.#end("refilm", async (signal) => !this.#halted && this.#finish(() => calls.askRefilm(this.id, film, signal)));

  async #finish(call: () => Promise<Answered<Review>>, onDone: () => void = () => undefined): Promise<boolean> {
    try {
      this.#take(await call());
      onDone();
      this.#say({ kind: "saved", version: this.review?.version ?? 0 });
      this.trouble = "";
      return true;
    } catch (error) {
      if (error instanceof Problem && error.status === 412) this.stale = true;
      else if (error instanceof Problem && error.status === 401) void this.#signInAgain();
      else if (error instanceof Problem && GONE.has(error.code)) this.#isGone(error);
      else if (error instanceof Problem && error.offline && this.ending !== null) return this.#didItGoOut(onDone);
      else this.trouble = wordsOf(error);
      return false;
    }
  }

  /** No answer came to what may well have arrived: the review itself says whether it did. */
  async #didItGoOut(onDone: () => void): Promise<boolean> {
    this.#notOut(NOT_KNOWN);
    try {
      const now = await calls.review(this.id);
      if (now.data.state === "claimed" && now.data.version === this.review?.version) this.#notOut(NO_LINE);
      if (now.data.state !== "answered" && now.data.state !== "closed") return false;
      this.#take(now);
      this.notOut = null;
      onDone();
      return true;
    } catch {
      return false;
    }
  }

  /** Keep the claim while the review is open. */
  async renew(): Promise<void> {
    if (this.review?.state !== "claimed") return;
    try {
      const renewed = await calls.renew(this.id);
      this.review = { ...this.review, lease_ends_at: renewed.lease_ends_at };
    } catch (error) {
      if (!(error instanceof Problem) || error.offline) return;
      if (error.status === 401) await this.#signInAgain();
      else if (GONE.has(error.code)) this.#isGone(error);
      else if (error.status === 409 && LOST.has(error.code)) await this.#lose(error);
      else if (error.status === 403 && error.code === "csrf") await session.again();
      else this.trouble = wordsOf(error);
    }
  }

  release(): Promise<boolean> {
    return this.#end("release", async (signal) => {
      try {
        await calls.release(this.id, signal);
        return true;
      } catch (error) {
        this.trouble = wordsOf(error);
        return false;
      }
    });
  }
}

function same(one: Xy | null, other: Xy | null): boolean {
  return one === other || (one !== null && other !== null && one[0] === other[0] && one[1] === other[1]);
}

/** Whether another edit moved the moment that this point was placed on. */
const isMomentOf =
  (point: KeptEdit) =>
  (other: KeptEdit): boolean =>
    point.edit.kind === "point" && other.edit.kind === "mark" && placeKey(point.edit.place) === placeKey(other.edit.place);
