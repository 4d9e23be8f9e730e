import type { Crop } from "./crop";
import type { BodyPoints } from "./points";

/** What the page asks of the worker: look at one picture. The bytes are handed over, not copied. */
export interface Ask {
  id: number;
  width: number;
  height: number;
  bytes: ArrayBuffer;
}

/** What one picture shows, in its own pixels. */
export interface Seen {
  /** The golfer: largest and most central. Null where nobody is seen. */
  body: BodyPoints | null;
  /** Where the landmark network looked. */
  crop: Crop | null;
  /** Whether somebody else stands about as near. */
  crowded: boolean;
  /** Grey level, 0 to 255, that nine tenths of the picture stay below. */
  light: number;
  /** How long the look took, milliseconds. */
  ms: number;
}

export type Answer =
  | { kind: "ready" }
  | { kind: "failed"; words: string }
  | { kind: "seen"; id: number; seen: Seen }
  | { kind: "missed"; id: number; words: string };
