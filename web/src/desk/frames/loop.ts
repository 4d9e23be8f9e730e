import { frameAt } from "./seek";

/** A stretch to go round in. */
export interface Loop {
  /** First and last frame; both are shown. */
  from: number;
  to: number;
  /** Seconds of the file to a second. */
  rate: number;
  /** Go back the way it came; else begin again at the first frame. */
  there_and_back: boolean;
}

/** The eye needs a rest at an end, or it takes the jump for a movement. */
export const REST_S = 0.4;

/** The frame that a loop shows `elapsed` seconds after its start; never one outside its ends. */
export function loopFrame(times: readonly number[], loop: Loop, elapsed: number): number {
  const { from, to } = loop;
  const begins = times[from] ?? 0;
  const lasts = ((times[to] ?? begins) - begins) / loop.rate;
  const way = lasts + REST_S;
  const at = elapsed % (loop.there_and_back ? 2 * way : way);
  const gone = at < way ? Math.min(at, lasts) : Math.max(0, way + lasts - at);
  return Math.min(to, Math.max(from, frameAt(times, begins + gone * loop.rate)));
}

/** "Three frames either side", as far as the clip goes. */
export const around = (frame: number, frames: number, reach = 3): Pick<Loop, "from" | "to"> => ({
  from: Math.max(0, frame - reach),
  to: Math.min(frames - 1, frame + reach),
});

/** Speeds of life that a coach may choose. */
export const SPEEDS = [
  { speed: 1, name: "Life speed" },
  { speed: 0.5, name: "1/2 speed" },
  { speed: 0.25, name: "1/4 speed" },
  { speed: 0.125, name: "1/8 speed" },
] as const;
