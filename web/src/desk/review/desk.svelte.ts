import * as calls from "../../api/calls";
import type { Place } from "../../api/calls";
import type { Answered } from "../../api/client";
import { Problem, wordsOf } from "../../api/problem";
import type { ByEye, CheckpointId, DraftWords, Drawing, DrillChoice, Judged, RefilmReason, Review, Xy } from "../../api/types";
import { newKey } from "../../words/keys";
import { EMPTY_HISTORY, record, redo, undo, type Edit, type History } from "./edits";
import { keep, kept, letGo, type Kept } from "./keep";
import type { Targets } from "./target";

export type Saving =
  | { kind: "saved"; at: Date | null }
  | { kind: "saving" }
  | { kind: "dropped"; words: string };

const WRITE_AFTER_MS = 800;
const TRY_AGAIN_MS = 3_000;

type Call = (etag: string) => Promise<Answered<Review>>;

export const placeKey = (place: Place): string => `${place.clipId}/${place.swing}/${place.keyframe}`;

/**
 * One open review. Every change goes to the server in order, each with the ETag of the one before;
 * a change made elsewhere stops the line and nothing typed here is thrown away.
 */
export class ReviewDesk {
  review = $state.raw<Review | null>(null);
  text = $state("");
  /** Things for when the main one sits. */
  later = $state<string[]>([]);
  judgements = $state<Judged[]>([]);
  /** What the coach judges without a number: face, lead wrist, grip. */
  byEye = $state.raw<ByEye[]>([]);
  /** On the stills of any clip of the review. */
  drawings = $state.raw<Drawing[]>([]);
  drills = $state<DrillChoice[]>([]);
  saving = $state<Saving>({ kind: "saved", at: null });
  trouble = $state("");
  /** Changed in another tab or on another device: nothing is sent until the coach reloads. */
  stale = $state(false);
  /** Words from this browser that the server never got. */
  left = $state.raw<Kept | null>(null);
  history = $state.raw<History>(EMPTY_HISTORY);
  /** Points being moved or on their way to the server, by place and point. */
  moving = $state<Record<string, Xy | null>>({});
  /** Instants on their way to the server, by place: a frame, or null for the machine's. */
  marking = $state<Record<string, number | null>>({});

  #etag = "";
  #line: Promise<void> = Promise.resolve();
  #timer: ReturnType<typeof setTimeout> | undefined;
  #unsaved = false;
  #sendKey = newKey();

  constructor(readonly id: string) {}

  get mayEdit(): boolean {
    return this.review?.state === "claimed" && !this.stale;
  }

  async load(): Promise<void> {
    try {
      this.#take(await calls.review(this.id));
      this.#adopt();
      this.stale = false;
      this.trouble = "";
    } catch (error) {
      this.trouble = wordsOf(error);
    }
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

  #take(answered: Answered<Review>): void {
    this.review = answered.data;
    this.#etag = answered.etag ?? `"${answered.data.version}"`;
  }

  /** Show the server's words; offer those that only this browser has. */
  #adopt(): void {
    const draft = this.review?.draft;
    this.text = draft?.text ?? "";
    this.later = [...(draft?.later ?? [])];
    this.judgements = draft?.judgements.map((one) => ({ ...one })) ?? [];
    this.byEye = draft?.by_eye ?? [];
    this.drawings = draft?.drawings ?? [];
    this.drills = draft?.drills.map((drill) => ({ ...drill })) ?? [];
    const here = kept(this.id);
    this.left = here !== null && !sameWords(here, this.words()) ? here : null;
    this.#unsaved = false;
    this.history = EMPTY_HISTORY;
    this.moving = {};
  }

  useLeft(): void {
    if (this.left === null) return;
    this.text = this.left.text;
    this.later = this.left.later;
    this.judgements = this.left.judgements;
    this.byEye = this.left.by_eye;
    this.drawings = this.left.drawings;
    this.drills = this.left.drills;
    this.left = null;
    this.wrote();
  }

  dropLeft(): void {
    this.left = null;
    letGo(this.id);
  }

  // Words

  /** Call after every change of text or drills: kept here at once, sent soon after. */
  wrote(): void {
    this.#unsaved = true;
    keep(this.id, { ...this.words(), at: new Date().toISOString() });
    if (this.saving.kind !== "dropped") this.saving = { kind: "saving" };
    clearTimeout(this.#timer);
    this.#timer = setTimeout(() => void this.flush(), WRITE_AFTER_MS);
  }

  /** The words as they would be saved now. */
  words(): DraftWords {
    return {
      text: this.text,
      later: this.later.map((line) => line.trim()).filter((line) => line !== ""),
      judgements: $state.snapshot(this.judgements),
      by_eye: this.byEye,
      drawings: this.drawings,
      drills: $state.snapshot(this.drills),
    };
  }

  /** Say something to findings; a step of undo. */
  judge(to: Judged[]): void {
    this.edit({ kind: "draft", part: "judgements", from: $state.snapshot(this.judgements), to });
  }

  /** Tick what is judged by eye; a step of undo. A run of changes of one thing, `what`, joins into one with `merge`. */
  judgeByEye(to: ByEye[], what?: string, merge = false): void {
    this.edit({ kind: "draft", part: "by_eye", from: this.byEye, to, ...(what === undefined ? {} : { what }) }, merge);
  }

  /** Draw, change or take away drawings; steps of undo as above. */
  draw(to: Drawing[], what?: string, merge = false): void {
    this.edit({ kind: "draft", part: "drawings", from: this.drawings, to, ...(what === undefined ? {} : { what }) }, merge);
  }

  /** Add or remove drills; a step of undo. */
  prescribe(to: DrillChoice[]): void {
    this.edit({ kind: "draft", part: "drills", from: $state.snapshot(this.drills), to });
  }

  /** Send what is typed now. Resolves when everything in the line has been answered. */
  async flush(): Promise<void> {
    clearTimeout(this.#timer);
    if (this.#unsaved && this.mayEdit) {
      this.#unsaved = false;
      const words = this.words();
      this.#queue((etag) => calls.patchDraft(this.id, words, etag), () => {
        if (!this.#unsaved) letGo(this.id);
      });
    }
    await this.#line;
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

  /** Carry out an edit and remember it. `merge` joins a run of nudges into one step of undo. */
  edit(edit: Edit, merge = false): void {
    this.history = record(this.history, edit, merge);
    this.#carryOut(edit);
  }

  undo(): void {
    const step = undo(this.history);
    if (step === null) return;
    this.history = step.history;
    this.#carryOut(step.edit);
  }

  redo(): void {
    const step = redo(this.history);
    if (step === null) return;
    this.history = step.history;
    this.#carryOut(step.edit);
  }

  #carryOut(edit: Edit): void {
    if (edit.kind === "draft") {
      if (edit.part === "judgements") this.judgements = edit.to.map((one) => ({ ...one }));
      else if (edit.part === "by_eye") this.byEye = edit.to;
      else if (edit.part === "drawings") this.drawings = edit.to;
      else this.drills = edit.to.map((one) => ({ ...one }));
      this.wrote();
      return;
    }
    const { place } = edit;
    if (edit.kind === "mark") {
      const { to } = edit;
      const where = placeKey(place);
      this.marking[where] = to;
      const arrived = (): void => {
        if (this.marking[where] === to) delete this.marking[where];
      };
      this.#queue(
        (etag) => (to === null ? calls.dropMark(this.id, place, etag) : calls.putMark(this.id, place, to, etag)),
        arrived,
        arrived,
      );
      return;
    }
    const key = `${placeKey(place)}/${edit.point}`;
    const { point, to } = edit;
    this.moving[key] = to;
    const settle = (): void => {
      // A newer move of the same point may be under way: its place stays until it is answered.
      if (this.moving[key] === to || same(this.moving[key] ?? null, to)) delete this.moving[key];
    };
    this.#queue(
      (etag) =>
        to === null
          ? calls.dropPoint(this.id, place, point, etag)
          : calls.putPoint(this.id, place, point, { x: to[0], y: to[1] }, etag),
      settle,
      settle,
    );
  }

  // The student's own targets

  get targets(): Targets {
    const submission = this.review?.submission;
    const student = submission?.student.id ?? "";
    return {
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
    const done = this.#line.then(async () => {
      if (this.stale) return;
      const before = this.review?.version ?? 0;
      await act();
      const answered = await calls.review(this.id);
      if (answered.data.version === before + 1) this.#take(answered);
      else this.stale = true;
    });
    this.#line = done.catch(() => undefined);
    await done;
  }

  // The line

  #queue(call: Call, onDone: () => void = () => undefined, onRefused: () => void = () => undefined): void {
    this.#line = this.#line.then(() => this.#runOne(call, onDone, onRefused));
  }

  async #runOne(call: Call, onDone: () => void, onRefused: () => void): Promise<void> {
    for (;;) {
      if (this.stale) return;
      this.saving = this.saving.kind === "dropped" ? this.saving : { kind: "saving" };
      try {
        this.#take(await call(this.#etag));
        onDone();
        this.trouble = "";
        this.saving = { kind: "saved", at: new Date() };
        return;
      } catch (error) {
        if (!(error instanceof Problem)) throw error;
        if (error.status === 412) {
          this.stale = true;
          this.saving = { kind: "saved", at: null };
          return;
        }
        if (!error.offline && error.status < 500) {
          onRefused();
          this.trouble = wordsOf(error);
          this.saving = { kind: "saved", at: null };
          return;
        }
        this.saving = { kind: "dropped", words: wordsOf(error) };
        await new Promise((resolve) => setTimeout(resolve, TRY_AGAIN_MS));
      }
    }
  }

  // Ends

  async send(): Promise<boolean> {
    await this.flush();
    return this.#finish(() => calls.send(this.id, this.#etag, this.#sendKey), () => {
      letGo(this.id);
      this.#sendKey = newKey();
    });
  }

  recall = (): Promise<boolean> => this.#finish(() => calls.recall(this.id));

  askRefilm = (reason: RefilmReason, message: string): Promise<boolean> =>
    this.#finish(() => calls.askRefilm(this.id, reason, message));

  async #finish(call: () => Promise<Answered<Review>>, onDone: () => void = () => undefined): Promise<boolean> {
    try {
      this.#take(await call());
      onDone();
      this.trouble = "";
      return true;
    } catch (error) {
      if (error instanceof Problem && error.status === 412) this.stale = true;
      else this.trouble = wordsOf(error);
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
      if (error instanceof Problem && !error.offline) this.trouble = wordsOf(error);
    }
  }

  async release(): Promise<boolean> {
    await this.flush();
    try {
      await calls.release(this.id);
      return true;
    } catch (error) {
      this.trouble = wordsOf(error);
      return false;
    }
  }
}

function same(one: Xy | null, other: Xy | null): boolean {
  return one === other || (one !== null && other !== null && one[0] === other[0] && one[1] === other[1]);
}

const wordsInOrder = ({ text, later, judgements, by_eye, drawings, drills }: DraftWords): string =>
  JSON.stringify([text, later, judgements, by_eye, drawings, drills]);

const sameWords = (one: DraftWords, saved: DraftWords): boolean => wordsInOrder(one) === wordsInOrder(saved);
