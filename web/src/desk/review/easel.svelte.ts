import type { Drawing, KeyframeId, Shape, Stroke, Xy } from "../../api/types";
import { newKey } from "../../words/keys";
import type { ReviewDesk } from "./desk.svelte";
import { keepForm, keptForm } from "./keep";
import { handlesOf, handleWords, isWhole, MOST_ON_A_STILL, namesOf, onStill, replaced, thinned, withHandle, without } from "./drawing";
import { onPicture, type Size } from "./view";

/** The still on show, as far as drawing on it goes. */
export interface Canvas {
  clipId: string;
  swing: number;
  frame: number;
  picture: Size;
  /** The instant that stands on the frame; null when none does. */
  keyframe: string | null;
  /** Whether a still of the frame is kept, for the student to be shown. */
  kept: boolean;
}

const PEN = "pen";
const LABEL = "label";
/** A key press brings the pen further than a drawing's end: it crosses the picture, an end is put right. */
const PEN_STEPS = 5;
/** As shares of the picture's longer side: what a free line may miss the hand by, and how near its last place a tap ends it. */
const MISS_SHARE = 1 / 1200;
const AGAIN_SHARE = 1 / 60;
/** A long free line is thinned while it is drawn, or each move would cost more than the one before. */
const LONG_TRAIL = 400;

/**
 * Drawing on the still on show. A tool is taken up, its places are set by drag, by two taps or by keys, and the drawing is then
 * in hand: its ends are moved as points are.
 */
export class Easel {
  /** The tool in hand; null when nothing is being drawn. */
  shape = $state<Shape | null>(null);
  stroke = $state<Stroke>("full");
  /** Words for the next label; kept until it is placed or given up. */
  label = $state("");
  /** The place that is set already, of two. */
  first = $state.raw<Xy | null>(null);
  pen = $state.raw<Xy>([0, 0]);
  /** Places of the free line that is being drawn. */
  trail = $state.raw<Xy[]>([]);
  #chosenId = $state<string | null>(null);
  /** The one in hand as it is being moved. */
  #held = $state.raw<Drawing | null>(null);
  #fresh = false;
  /** The pen is on the picture: how many places there were before. */
  #pressedFrom: number | null = null;

  constructor(
    readonly desk: ReviewDesk,
    readonly canvas: () => Canvas,
  ) {
    this.writeLabel(keptForm<string>(desk.keptAs, LABEL) ?? "");
  }

  /** Letters of the next label. */
  writeLabel(words: string): void {
    this.label = words;
    keepForm(this.desk.keptAs, LABEL, words === "" ? null : words);
    this.desk.begin("label", words);
  }

  /** Drawings on the still, the one being moved where the hand has it. */
  readonly here = $derived.by((): Drawing[] => {
    const { clipId, frame } = this.canvas();
    const standing = onStill(this.desk.drawings, clipId, frame);
    return this.#held === null ? standing : replaced(standing, this.#held);
  });
  readonly names = $derived(namesOf(this.here));
  readonly chosen = $derived(this.here.find((one) => one.id === this.#chosenId) ?? null);

  /** All that is to be seen: also what is just being drawn. */
  readonly shown = $derived.by((): Drawing[] => {
    const next = this.#next();
    return next !== null && isWhole(next) && (this.first !== null || this.shape === "label" || this.trail.length > 0) ? [...this.here, next] : this.here;
  });

  /** What a hand can take: the pen, or the ends of the drawing in hand. */
  readonly handles = $derived.by((): Record<string, Xy> | null => {
    if (this.shape !== null) return { [PEN]: this.pen };
    return this.chosen === null ? null : handlesOf(this.chosen);
  });

  /** Why nothing can be drawn here; "" when something can. */
  readonly why = $derived.by((): string => {
    const { keyframe, kept } = this.canvas();
    if (keyframe === null) return "Go to an instant to draw on its still.";
    if (!kept) return "No still of this frame is kept, so nothing can be drawn on it.";
    return this.here.length >= MOST_ON_A_STILL ? `${MOST_ON_A_STILL} drawings are on this still: that is the most.` : "";
  });

  /** What to do next, in the picture. */
  readonly tip = $derived.by((): string => {
    if (this.shape === null) return "";
    if (this.shape === "label") return this.label.trim() === "" ? "Write the label first." : "Tap where the label belongs, or Enter here.";
    if (this.shape === "free") return this.trail.length === 0 ? "Draw it, or tap it place by place." : "Tap on, or Enter; the last place once more ends it.";
    if (this.first !== null) return this.shape === "circle" ? "Now the rim: tap, or Enter." : "Now the other end: tap, or Enter.";
    if (this.shape === "circle") return "Draw from the middle outwards, or tap the middle and then the rim.";
    return this.shape === "arrow" ? "Draw from tail to tip, or tap one and then the other." : "Draw it, or tap both ends.";
  });

  nameOf = (handle: string): string => {
    if (handle === PEN && this.shape === "free" && this.trail.length > 0) return `Pen, place ${this.trail.length + 1}`;
    if (handle === PEN) return this.first === null ? "Pen" : "Pen, second place";
    return this.chosen === null ? handle : handleWords(this.names[this.chosen.id] ?? "", this.chosen.shape, handle);
  };

  /** Take a tool up, with the pen in the middle of what is on show; or lay the same one down. */
  take(shape: Shape, middle: Xy): void {
    const same = this.shape === shape;
    this.layDown();
    if (same || this.why !== "" || !this.desk.mayEdit) return;
    this.#chosenId = null;
    this.shape = shape;
    this.pen = onPicture(middle, this.canvas().picture);
  }

  /** Give up what is being drawn and lay the tool down. */
  layDown(): void {
    this.shape = null;
    this.first = null;
    this.trail = [];
    this.#pressedFrom = null;
    this.#fresh = false;
  }

  /** Whether what is drawn so far may be ended without another place. */
  readonly endable = $derived(this.shape === "free" && isWhole({ shape: "free", places: this.trail, label: "" }));

  /** One step back: the first place, else the tool, else the drawing in hand. */
  drop(): void {
    if (this.first !== null) this.first = null;
    else if (this.trail.length > 0) {
      this.trail = this.trail.slice(0, this.#pressedFrom ?? -1);
      this.#pressedFrom = null;
    } else if (this.shape !== null) {
      if (this.shape === "label") this.writeLabel("");
      this.layDown();
    } else this.choose(null);
  }

  #next(): Drawing | null {
    const { clipId, swing, keyframe, frame } = this.canvas();
    if (this.shape === null || keyframe === null) return null;
    const free = this.#pressedFrom === null ? [...this.trail, this.pen] : this.trail;
    const places = this.shape === "free" ? free : this.shape === "label" || this.first === null ? [this.pen] : [this.first, this.pen];
    const label = this.shape === "label" ? this.label.trim() : "";
    return { id: "next", clip_id: clipId, swing, keyframe: keyframe as KeyframeId, frame, shape: this.shape, stroke: this.stroke, places, label };
  }

  penDown(at: Xy): void {
    this.pen = onPicture(at, this.canvas().picture);
    if (this.shape === "free") {
      this.#pressedFrom = this.trail.length;
      this.trail = [...this.trail, this.pen];
      return;
    }
    // What the system took away half way (a palm, a call) left its first place: the next touch is the second.
    this.#fresh = this.shape !== "label" && this.first === null;
    if (this.#fresh) this.first = this.pen;
  }

  penMove(at: Xy): void {
    this.pen = onPicture(at, this.canvas().picture);
    if (this.shape !== "free" || this.#pressedFrom === null) return;
    const trail = [...this.trail, this.pen];
    this.trail = trail.length > LONG_TRAIL ? thinned(trail, this.#miss() / 2, LONG_TRAIL / 2) : trail;
  }

  #longer(): number {
    const { width, height } = this.canvas().picture;
    return Math.max(width, height);
  }

  #miss = (): number => this.#longer() * MISS_SHARE;

  /** Let go: a drag ends there, a first tap waits for the second. */
  penUp(moved: boolean): void {
    if (this.shape === "free") {
      const again = !moved && this.#isAgain(this.pen, this.trail.at(-2), this.#longer() * AGAIN_SHARE);
      this.#pressedFrom = null;
      if (again) this.trail = this.trail.slice(0, -1);
      if (again || moved) this.end();
      return;
    }
    const waits = this.#fresh && !moved;
    this.#fresh = false;
    if (!waits) this.#finish();
  }

  #isAgain = (at: Xy, last: Xy | undefined, within: number): boolean => last !== undefined && Math.hypot(at[0] - last[0], at[1] - last[1]) <= within;

  /** The free line is done. One that came to nothing waits for more. */
  end(): void {
    if (this.endable) this.#finish();
    else this.trail = this.trail.slice(0, 1);
  }

  /** Enter on the pen. */
  penSet(): void {
    if (this.shape === "free") {
      if (this.#isAgain(this.pen, this.trail.at(-1), 0)) this.end();
      else this.trail = [...this.trail, this.pen];
      return;
    }
    if (this.shape === "label" || this.first !== null) {
      this.#finish();
      return;
    }
    const { picture } = this.canvas();
    this.first = this.pen;
    const by = picture.width / 8;
    this.pen = onPicture([this.pen[0] + (this.pen[0] > picture.width / 2 ? -by : by), this.pen[1]], picture);
  }

  #finish(): void {
    const next = this.#next();
    if (next === null || !isWhole(next)) return;
    const places = next.shape === "free" ? thinned(this.trail, this.#miss()) : next.places;
    const one = { ...next, id: newKey(), places };
    this.desk.draw([...this.desk.drawings, one]);
    this.layDown();
    if (one.shape === "label") this.writeLabel("");
    this.#chosenId = one.id;
  }

  /** Take a drawing in hand, or none. */
  choose(id: string | null): void {
    this.layDown();
    this.#held = null;
    this.#chosenId = this.#chosenId === id ? null : id;
  }

  // The drawing in hand

  hold(handle: string, at: Xy): void {
    if (this.shape !== null) this.penMove(at);
    else if (this.chosen !== null) this.#held = withHandle(this.chosen, handle, at, this.canvas().picture);
  }

  place(handle: string, at: Xy): void {
    if (this.chosen === null) return;
    const next = withHandle(this.chosen, handle, at, this.canvas().picture);
    this.#held = null;
    this.#put(next);
  }

  /** What was held goes back to where it stood. */
  letBe(): void {
    this.#held = null;
  }

  nudge(handle: string, by: Xy): void {
    const at = this.handles?.[handle];
    if (at === undefined) return;
    const { picture } = this.canvas();
    if (this.shape !== null) this.penMove([at[0] + by[0] * PEN_STEPS, at[1] + by[1] * PEN_STEPS]);
    else if (this.chosen !== null) this.#put(withHandle(this.chosen, handle, [at[0] + by[0], at[1] + by[1]], picture), handle);
  }

  restroke(stroke: Stroke): void {
    this.stroke = stroke;
    if (this.chosen !== null && this.chosen.stroke !== stroke) this.#put({ ...this.chosen, stroke });
  }

  /** New words for the label in hand; empty ones are not taken. */
  relabel(label: string): void {
    if (this.chosen === null || label.trim() === "") return;
    const { id } = this.chosen;
    this.desk.write("drawings", replaced(this.desk.drawings, { ...this.chosen, label: label.trim() }), `${id}/label`);
  }

  remove(): void {
    const { chosen } = this;
    if (chosen === null || !this.desk.mayEdit) return;
    this.#held = null;
    this.desk.draw(without(this.desk.drawings, chosen.id));
  }

  /** `run`: joins changes of the same handle, one after the other, into one step of undo. */
  #put(next: Drawing, run?: string): void {
    const standing = this.desk.drawings.find((one) => one.id === next.id);
    if (standing === undefined || JSON.stringify(standing) === JSON.stringify(next)) return;
    const to = replaced(this.desk.drawings, next);
    this.desk.draw(to, run === undefined ? undefined : `${next.id}/${run}`);
  }
}
