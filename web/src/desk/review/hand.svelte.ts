import type { Place } from "../../api/calls";
import type { Xy } from "../../api/types";
import { placeKey, type ReviewDesk } from "./desk.svelte";
import type { PictureEdit } from "./edits";
import type { Row } from "./rows";
import { onPicture, type Size } from "./view";

/** What the hand is on: the number whose points are on the picture, and where they are now. */
export interface Held {
  row: Row | undefined;
  points: Readonly<Record<string, Xy>>;
  clipId: string;
  swing: number;
  picture: Size;
}

const NUDGE_SENT_AFTER_MS = 500;

/** What a hand does to the points of the number it holds: by drag, by tap, by arrow keys. */
export class Hand {
  /** Where a run of arrow keys has brought a point: with all it takes to send it, since another frame may be on show by then. */
  #nudged: { place: Place; point: string; from: Xy | null; at: Xy; timer: ReturnType<typeof setTimeout> } | null = null;

  constructor(
    readonly desk: ReviewDesk,
    readonly held: () => Held,
  ) {}

  #place(keyframe: string): Place {
    const { clipId, swing } = this.held();
    return { clipId, swing, keyframe };
  }

  /** Show a point where it is being moved to. */
  hold(point: string, at: Xy): void {
    const { row } = this.held();
    if (row) this.desk.hold(this.#place(row.checkpoint.keyframe), point, at);
  }

  put(point: string, at: Xy): void {
    const { row } = this.held();
    if (!row) return;
    this.settle();
    const place = this.#place(row.checkpoint.keyframe);
    this.desk.edit({ kind: "point", place, point, from: this.desk.placed(place, point), to: at });
  }

  nudge(point: string, by: Xy): void {
    const { row, points, picture } = this.held();
    const at = points[point];
    if (!row || !at) return;
    const place = this.#place(row.checkpoint.keyframe);
    if (this.#nudged !== null && (this.#nudged.point !== point || placeKey(this.#nudged.place) !== placeKey(place))) this.settle();
    const to = onPicture([at[0] + by[0], at[1] + by[1]], picture);
    this.desk.hold(place, point, to);
    if (this.#nudged !== null) clearTimeout(this.#nudged.timer);
    const from = this.#nudged?.from ?? this.desk.placed(place, point);
    this.#nudged = { place, point, from, at: to, timer: setTimeout(() => this.settle(), NUDGE_SENT_AFTER_MS) };
  }

  /** Send where a run of arrow keys has brought a point. */
  settle = (): void => {
    if (this.#nudged === null) return;
    const { timer, place, point, from, at } = this.#nudged;
    clearTimeout(timer);
    this.#nudged = null;
    this.desk.edit({ kind: "point", place, point, from, to: at }, true);
  };

  /** The system took the finger away: what was held goes back to where it stood. */
  letBe(point: string): void {
    const { row } = this.held();
    if (row && this.#nudged === null) this.desk.letBe(this.#place(row.checkpoint.keyframe), point);
  }

  /** A point nobody found: in the middle of the picture's reach, for the coach to place it. `near`: what lies where it may be. */
  begin({ reading, checkpoint }: Row, point: string, near: Xy | null): void {
    const { picture } = this.held();
    const at = Object.values(reading.points)[0] ?? near ?? [picture.width / 2, picture.height / 2];
    this.desk.hold(this.#place(checkpoint.keyframe), point, onPicture([at[0], at[1] + 30], picture));
  }

  /** Put down where it was: a point that nobody had found is placed there, or given up again. */
  putDown(point: string, here: boolean): void {
    const { row, points } = this.held();
    const at = points[point];
    if (!row || row.reading.points[point] !== undefined || !at) return;
    if (here) this.put(point, at);
    else this.desk.letBe(this.#place(row.checkpoint.keyframe), point);
  }

  /** All points of a number back to the machine's: one press, one step of undo. */
  backToMachine({ placed, reading, checkpoint }: Row): void {
    this.settle();
    const place = { clipId: reading.clip_id, swing: reading.swing, keyframe: checkpoint.keyframe };
    const edits = checkpoint.points.flatMap((point): PictureEdit[] => {
      const from = this.desk.placed(place, point);
      const counts = placed.some((item) => item.point === point) || this.desk.onItsWay(place, point) !== undefined;
      return from !== null && counts ? [{ kind: "point", place, point, from, to: null }] : [];
    });
    if (edits.length === 0) return;
    this.desk.edit({ kind: "several", edits });
  }
}
