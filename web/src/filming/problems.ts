import type { Measurement } from "../api/types";

export type Problem = Measurement["view"]["problems"][number];

/** Every problem of filming there is a drawing for, and what the drawing shows. The codes are the server's. */
export const DRAWN = {
  view_contradicts: "Two screens that are not the same: a golfer seen from the front, and one seen from behind.",
  view_unclear: "From above: the phone stands half-way between the two places. It belongs on the line of one of them.",
  hand_contradicts: "A golfer and the same golfer in a mirror: the club is on the other side.",
  camera_off_line: "From above: the phone stands beside its line. It belongs on the line, aimed along it.",
  camera_not_level: "One screen with everything leaning, crossed out; one with the ground level.",
  camera_high: "From the side: a phone above the golfer's head, crossed out; it belongs as high as the hands.",
  camera_low: "From the side: a phone on the ground, crossed out; it belongs as high as the hands.",
  camera_near: "From the side: a phone close to the club, crossed out; it belongs three to four metres away.",
  camera_moves: "A phone that shakes, crossed out; a phone on a stand.",
  person_small: "One screen with a tiny golfer, crossed out; one that the golfer nearly fills.",
  person_cut_off: "One screen with the feet cut off, crossed out; one with head and feet in it.",
  club_cut_off: "One screen in which the raised club is cut off, crossed out; one with room above it.",
  low_frame_rate: "A club seen three times on its way down, crossed out; one seen many times.",
  picture_dark: "One dark screen, crossed out; one bright screen, with the sun above the phone.",
  picture_blurred: "One screen with a smeared golfer, crossed out; one with a sharp golfer.",
  no_swing: "A golfer at address, at the top and in the finish: all three belong in the clip.",
} as const satisfies Record<string, string>;

export type ProblemCode = keyof typeof DRAWN;

/** Refusals that a drawing of their own helps; a file that is no video has none. */
export const DRAWN_REFUSALS = {
  nobody_in_view: "One screen with nobody in it, crossed out; one that the golfer nearly fills.",
  several_people: "One screen with two people, crossed out; one with the golfer alone.",
} as const satisfies Record<string, string>;

export type DrawingCode = ProblemCode | keyof typeof DRAWN_REFUSALS;

const REFUSED_AS: Readonly<Record<string, DrawingCode>> = {
  too_dark: "picture_dark",
  too_blurred: "picture_blurred",
  nobody_in_view: "nobody_in_view",
  several_people: "several_people",
};

/** The drawing that goes with why a clip was refused; null where none would help. */
export const drawingOfRefusal = (code: string | undefined): DrawingCode | null =>
  code !== undefined && Object.hasOwn(REFUSED_AS, code) ? (REFUSED_AS[code] ?? null) : null;

/** What a drawing shows, in words. */
export const wordsOfDrawing = (code: DrawingCode): string => ({ ...DRAWN, ...DRAWN_REFUSALS })[code];

/** Whether there is a drawing for a code, of problems and refusals alike. */
export const canDraw = (code: string): code is DrawingCode => isDrawn(code) || Object.hasOwn(DRAWN_REFUSALS, code);

/** Whether there is a drawing for a code: a result of another version may name one that this page does not know. */
export const isDrawn = (code: string): code is ProblemCode => Object.hasOwn(DRAWN, code);
