/** What a key does on the queue's page. */

export type QueueAct =
  | "down" | "up" | "page_down" | "page_up" | "first" | "last"
  | "take" | "open" | "act" | "next" | "hand_back"
  | "search" | "filters" | "views" | "help"
  | "tab_1" | "tab_2" | "tab_3" | "tab_4";

/** Only while a row has the focus: elsewhere they are the browser's own. */
const ON_A_ROW: Record<string, QueueAct> = {
  ArrowDown: "down",
  ArrowUp: "up",
  PageDown: "page_down",
  PageUp: "page_up",
  Home: "first",
  End: "last",
  Enter: "act",
};

/** Single letters: they can be switched off (WCAG 2.1.4) and never act while somebody types. */
const LETTERS: Record<string, QueueAct> = {
  j: "down",
  k: "up",
  t: "take",
  o: "open",
  n: "next",
  h: "hand_back",
  "/": "search",
  f: "filters",
  v: "views",
  "?": "help",
  "1": "tab_1",
  "2": "tab_2",
  "3": "tab_3",
  "4": "tab_4",
};

/** As the help lists them. */
export const KEY_HELP: { keys: string[]; does: string; letter: boolean }[] = [
  { keys: ["↓", "↑"], does: "Next row, row before", letter: false },
  { keys: ["Page Down", "Page Up"], does: "Ten rows on, ten back", letter: false },
  { keys: ["Home", "End"], does: "First row, last row that is loaded", letter: false },
  { keys: ["Enter"], does: "On a row: take it, or open it when it is yours or answered", letter: false },
  { keys: ["Tab"], does: "From a row to its buttons", letter: false },
  { keys: ["Esc"], does: "From search and filters back to the rows", letter: false },
  { keys: ["j", "k"], does: "Next row, row before", letter: true },
  { keys: ["n"], does: "Take the next one", letter: true },
  { keys: ["t"], does: "Take this one", letter: true },
  { keys: ["o"], does: "Open this one", letter: true },
  { keys: ["h"], does: "Hand this one back", letter: true },
  { keys: ["/"], does: "Search", letter: true },
  { keys: ["f"], does: "Filters", letter: true },
  { keys: ["v"], does: "Saved views", letter: true },
  { keys: ["1", "2", "3", "4"], does: "Waiting, with me, with anyone, answered", letter: true },
  { keys: ["?"], does: "This list", letter: true },
];

type Pressed = Pick<KeyboardEvent, "key" | "ctrlKey" | "metaKey" | "altKey">;

/** `on`: what has the focus. `letters`: whether single letters act. */
export function actOf(pressed: Pressed, on: { row: boolean; field: boolean }, letters: boolean): QueueAct | null {
  if (pressed.ctrlKey || pressed.metaKey || pressed.altKey || on.field) return null;
  if (on.row && pressed.key in ON_A_ROW) return ON_A_ROW[pressed.key] ?? null;
  return letters ? (LETTERS[pressed.key] ?? null) : null;
}
