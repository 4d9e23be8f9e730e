/** What ends a coach's work at a review, pressed once: it takes what stands at that moment, and nothing written later. */
export type EndingKind = "send" | "commit" | "release" | "refilm";

export interface Ending {
  kind: EndingKind;
  /** What stands is being saved first; it can still be let be. Then it is on its way and cannot. */
  stage: "saving" | "out";
  /** The line is dead or slow: said beside the button. */
  waits: boolean;
}

/** What was pressed and did not happen, for a reason that nothing else on the page says. */
export interface NotOut {
  kind: EndingKind;
  words: string;
}

/** From here on a page that still waits for the line says so. */
export const WAITS_AFTER_MS = 2_000;
/** Given up without a line. What was pressed long ago never goes out by itself when the line is back. */
export const GIVEN_UP_AFTER_MS = 8_000;
/** Given up on a line that is only slow. */
export const TOO_SLOW_AFTER_MS = 30_000;

export const NO_LINE =
  "There was no connection, so it was given up. Nothing goes out by itself later: your words are kept; press again when the connection is back.";
export const TOO_SLOW =
  "The connection is too slow just now, so it was given up. Nothing goes out by itself later: your words are kept; press again in a moment.";
export const NOT_KNOWN =
  "No answer came, so it is not known whether it went out. Your words are kept. Press again when the connection is back: nothing goes out twice.";

const DOING: Readonly<Record<EndingKind, string>> = {
  send: "Sending …",
  commit: "Committing …",
  release: "Giving it back …",
  refilm: "Asking …",
};

const UNDONE: Readonly<Record<EndingKind, string>> = {
  send: "It was not sent",
  commit: "It was not committed",
  release: "It was not given back",
  refilm: "No new clip was asked for",
};

/** The title of a press that came to nothing. */
export const undoneTitle = ({ kind, words }: NotOut): string => (words === NOT_KNOWN ? "No answer came" : UNDONE[kind]);

/** What is said beside the button meanwhile. */
export function endingWords({ kind, stage, waits }: Ending): string {
  if (!waits) return DOING[kind];
  if (stage === "out") return `${DOING[kind]} No answer yet.`;
  return `${DOING[kind]} It waits for the connection. If that is not back in a few seconds it is given up, and does not go out by itself later.`;
}
