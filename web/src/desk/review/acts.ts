/** Every key of the clip desk, once: the handlers act by this table and the help sheet is written from it. */

export type Act =
  | "back" | "on" | "back10" | "on10" | "before" | "after" | "number" | "numberBefore" | "run" | "loop" | "around" | "slower" | "faster" | "mark"
  | "beside" | "swap" | "ghost" | "draw" | "findings" | "words" | "drills" | "finish" | "ready" | "undo" | "redo" | "help";

export interface KeyLine {
  /** What `KeyboardEvent.key` may say. */
  keys: readonly string[];
  /** As people read it. */
  shown: string;
  words: string;
  /** Has to be held together with the key; a key with Ctrl works whether or not letters are switched on. */
  ctrl?: boolean;
}

export const DESK_KEYS: Readonly<Record<Act, KeyLine>> = {
  back: { keys: [","], shown: ",", words: "One frame back" },
  on: { keys: ["."], shown: ".", words: "One frame on" },
  // With Shift, keyboards differ in what these two keys write.
  back10: { keys: ["<", ";"], shown: "Shift ,", words: "Ten frames back" },
  on10: { keys: [">", ":"], shown: "Shift .", words: "Ten frames on" },
  before: { keys: ["["], shown: "[", words: "To the instant before" },
  after: { keys: ["]"], shown: "]", words: "To the next instant" },
  number: { keys: ["n"], shown: "n", words: "Take the frame's next number in hand: its lines and points come forward" },
  numberBefore: { keys: ["N"], shown: "Shift n", words: "Take the number before in hand" },
  run: { keys: ["r"], shown: "r", words: "Run, or stop" },
  loop: { keys: ["l"], shown: "l", words: "Loop between the two chosen instants, or stop" },
  around: { keys: ["o"], shown: "o", words: "Loop round this frame, three either side" },
  slower: { keys: ["s"], shown: "s", words: "Slower" },
  faster: { keys: ["f"], shown: "f", words: "Faster" },
  mark: { keys: ["i"], shown: "i", words: "Set the chosen instant to this frame" },
  beside: { keys: ["b"], shown: "b", words: "Next choice of what is beside: nothing, the other view, the last answer's clip" },
  swap: { keys: ["x"], shown: "x", words: "Swap the two views: take the other in hand" },
  ghost: { keys: ["g"], shown: "g", words: "Lay the last answer's clip over this one, or take it off" },
  findings: { keys: ["e"], shown: "e", words: "To the findings" },
  words: { keys: ["w"], shown: "w", words: "To the answer's words" },
  drills: { keys: ["d"], shown: "d", words: "To the drills" },
  finish: { keys: ["p"], shown: "p", words: "To preview and sending" },
  ready: { keys: ["enter"], shown: "Ctrl Enter", words: "To the button that sends, also out of a field you write in", ctrl: true },
  draw: { keys: ["t"], shown: "t", words: "To the drawing tools" },
  undo: { keys: ["z"], shown: "Ctrl z", words: "Undo: points, instants, drawings, and every field of the answer, a run of typing at a time", ctrl: true },
  redo: { keys: ["y"], shown: "Ctrl y", words: "Redo, also Ctrl Shift z", ctrl: true },
  help: { keys: ["?"], shown: "?", words: "This list" },
};

export type HandleAct = "back" | "on" | "back10" | "on10" | "machines" | "go";

/** On an instant's handle, while it has the focus. */
export const HANDLE_KEYS: Readonly<Record<HandleAct, KeyLine>> = {
  back: { keys: ["ArrowLeft", "ArrowDown"], shown: "←", words: "One frame earlier" },
  on: { keys: ["ArrowRight", "ArrowUp"], shown: "→", words: "One frame later" },
  back10: { keys: ["PageDown"], shown: "Shift ←", words: "Ten frames earlier" },
  on10: { keys: ["PageUp"], shown: "Shift →", words: "Ten frames later" },
  machines: { keys: ["Home"], shown: "Home", words: "Back to where the machine found it" },
  go: { keys: ["Enter", " "], shown: "Enter", words: "Show it" },
};

/** Lines of the help sheet that other parts listen to by themselves. */
export const POINT_LINES: readonly Pick<KeyLine, "shown" | "words">[] = [
  { shown: "Arrow keys", words: "Move the point by one pixel, with Shift by ten" },
  { shown: "Enter", words: "Take it up: the next tap on the picture places it; on a small point, take its number in hand" },
  { shown: "Esc", words: "Leave it where it is" },
];

/** The same, while something is being drawn or a drawing is in hand. */
export const PEN_LINES: readonly Pick<KeyLine, "shown" | "words">[] = [
  { shown: "Arrow keys", words: "Move the pen by five pixels, an end of a drawing by one; with Shift ten times as far" },
  { shown: "Enter", words: "Set the place; the second one ends a line, an arrow or a circle, the same place twice ends a free line" },
  { shown: "Delete", words: "Delete the drawing in hand" },
  { shown: "Esc", words: "One step back: the place, the tool, the drawing in hand" },
];

type Pressed = Pick<KeyboardEvent, "key" | "ctrlKey" | "metaKey" | "altKey" | "shiftKey">;

/** What a key press asks of the desk; null when it asks for nothing. `letters`: whether single keys count. */
export function deskAct(event: Pressed, letters: boolean): Act | null {
  const held = event.ctrlKey || event.metaKey;
  if (event.altKey) return null;
  if (held) {
    if (event.key.toLowerCase() === "z" && event.shiftKey) return "redo";
    return named(DESK_KEYS, event.key.toLowerCase(), (line) => line.ctrl === true);
  }
  // Where "," and ";" share a key ";" needs Shift; where ";" has its own key it is not meant.
  if (!letters || ([";", ":"].includes(event.key) && !event.shiftKey)) return null;
  return named(DESK_KEYS, event.key, (line) => line.ctrl !== true);
}

export function handleAct(event: Pressed): HandleAct | null {
  const act = named(HANDLE_KEYS, event.key, () => true);
  if (!event.shiftKey) return act;
  return act === "back" ? "back10" : act === "on" ? "on10" : act;
}

function named<Name extends string>(table: Readonly<Record<Name, KeyLine>>, key: string, fits: (line: KeyLine) => boolean): Name | null {
  const found = (Object.entries(table) as [Name, KeyLine][]).find(([, line]) => fits(line) && line.keys.includes(key));
  return found?.[0] ?? null;
}

/** Whether a field is of the draft: its letters are steps of the desk's history, and it has no undo of its own. */
export const isOfTheDraft = (target: EventTarget | null): boolean => target instanceof Element && target.closest("[data-draft]") !== null;

/**
 * What also works out of a field: the way to sending, since no browser does anything with it there, and undo and redo where the
 * field is of the draft. Forms that are kept or given up as a whole (a phrase, a target, a new film) have the browser's undo.
 */
export const leavesAField = (act: Act, event: KeyboardEvent): boolean => {
  if (!(event.target instanceof Element) || event.target.closest("dialog") !== null) return false;
  return act === "ready" || ((act === "undo" || act === "redo") && isOfTheDraft(event.target));
};

/** Whether somebody is writing: then single keys are theirs. */
export const isWriting = (event: KeyboardEvent): boolean =>
  event.target instanceof Element && event.target.closest("input:not([type=range], [type=checkbox]), textarea, select, dialog") !== null;
