import type { ByEye, DraftWords, Drawing, DrillChoice, Judged } from "../../api/types";
import { finished } from "./dose";
import { EMPTY_HISTORY, record, redo, rested, undo, type Edit, type History, type Part } from "./edits";
import { stepWords } from "./merge";

/** A pause that ends a run of typing: what is typed after it is a step of its own. */
const RUN_ENDS_AFTER_MS = 1_500;

/**
 * What a coach writes and chooses in one review, and the steps they took: one history for the words of every field and
 * for the picture, so that undo always takes back what was done last.
 */
export abstract class Draft {
  text = $state("");
  /** Things for when the main one sits. */
  later = $state.raw<string[]>([]);
  judgements = $state.raw<Judged[]>([]);
  /** What the coach judges without a number: face, lead wrist, grip. */
  byEye = $state.raw<ByEye[]>([]);
  /** On the stills of any clip of the review. */
  drawings = $state.raw<Drawing[]>([]);
  drills = $state.raw<DrillChoice[]>([]);
  /** Of a correction: what the student is told of it. */
  whatChanged = $state("");
  history = $state.raw<History>(EMPTY_HISTORY);
  /** What the last undo or redo was of: it may lie out of sight. */
  stepped = $state("");

  /** Each drill as it was good last: what is saved of one while a field of its dose is being written. */
  #good = new Map<string, DrillChoice>();
  #resting: ReturnType<typeof setTimeout> | undefined;

  /** Keep what is written now, and send it soon. */
  abstract wrote(): void;

  /** Make an edit true: on the page, in this browser, and on its way to the server. */
  protected abstract carryOut(edit: Edit): void;

  /** Sends what the keys have moved and nobody has sent yet; the page that shows points says how. */
  settle: () => void = () => undefined;

  protected show(words: DraftWords): void {
    this.text = words.text;
    this.later = words.later;
    this.judgements = words.judgements;
    this.byEye = words.by_eye;
    this.drawings = words.drawings;
    this.drills = words.drills;
    for (const drill of words.drills) {
      const good = finished(drill, this.#good.get(drill.drill_id));
      if (good !== null) this.#good.set(drill.drill_id, good);
    }
    this.whatChanged = words.what_changed;
  }

  /** The parts as they stand on the page. */
  protected parts(): DraftWords {
    const { text, later, judgements, drawings, drills } = this;
    return { text, later, judgements, by_eye: this.byEye, drawings, drills, what_changed: this.whatChanged };
  }

  /** The words as they would be saved now: without lines that are empty, and a field of a dose that is not finished as it was last. */
  words(): DraftWords {
    return {
      ...this.parts(),
      later: this.later.map((line) => line.trim()).filter((line) => line !== ""),
      drills: this.drills.flatMap((drill) => finished(drill, this.#good.get(drill.drill_id)) ?? []),
    };
  }

  /**
   * Letters into a field, or one more choice of the same thing. What is written into one field without a rest, or without leaving
   * it, is one step of undo. `what` names the field where its part has several.
   */
  write<One extends Part>(part: One, to: DraftWords[One], what: string = part): void {
    this.edit({ kind: "draft", part, from: this.parts()[part], to, what } as Edit, true);
    clearTimeout(this.#resting);
    this.#resting = setTimeout(() => this.rest(), RUN_ENDS_AFTER_MS);
  }

  /** A change of a part that is a step of undo by itself. */
  change<One extends Part>(part: One, to: DraftWords[One]): void {
    this.edit({ kind: "draft", part, from: this.parts()[part], to } as Edit);
  }

  /** The field was left, or nothing has been written for a while. */
  rest(): void {
    clearTimeout(this.#resting);
    if (this.history.running) this.history = rested(this.history);
  }

  /** Say something to findings; a step of undo. */
  judge(to: Judged[]): void {
    this.change("judgements", to);
  }

  /** Tick what is judged by eye; a step of undo. */
  judgeByEye(to: ByEye[]): void {
    this.change("by_eye", to);
  }

  /** Draw, change or take away drawings; a step of undo. A run of changes of one thing, `what`, joins into one. */
  draw(to: Drawing[], what?: string): void {
    if (what === undefined) this.change("drawings", to);
    else this.edit({ kind: "draft", part: "drawings", from: this.drawings, to, what }, true);
  }

  /** Add or remove drills; a step of undo. */
  prescribe(to: DrillChoice[]): void {
    this.change("drills", to);
  }

  /** Carry out an edit and remember it. `merge` joins a run of nudges into one step of undo. */
  edit(edit: Edit, merge = false): void {
    this.history = record(this.history, edit, merge);
    this.stepped = "";
    this.carryOut(edit);
  }

  undo(): void {
    this.settle();
    const step = undo(this.history);
    if (step === null) return;
    this.history = step.history;
    this.carryOut(step.edit);
    this.stepped = `Undone: ${stepWords(step.edit)}.`;
  }

  redo(): void {
    this.settle();
    const step = redo(this.history);
    if (step === null) return;
    this.history = step.history;
    this.carryOut(step.edit);
    this.stepped = `Done again: ${stepWords(step.edit)}.`;
  }

  /** Put one part of the draft as an edit says. */
  protected put(edit: Extract<Edit, { kind: "draft" }>): void {
    this.show({ ...this.parts(), [edit.part]: edit.to });
    this.wrote();
  }
}
