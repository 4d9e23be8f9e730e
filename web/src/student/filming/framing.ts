/** The live check: from what one second of pictures shows to what the student should change. Pure. */

import shared from "../../filming/limits.json";
import type { Hand, View } from "../../api/types";
import { LIMITS, surelyAbove, surelyBelow } from "./estimates";
import room from "./room.json";
import { aboveHandsM, cutOffAt, distanceM, feet, legPx, scale, staturePx, viewSeen, type Edge, type Size, type Track } from "./stance";
import { DOWN_SIGMA_DEG, LEAN_SIGMA_DEG, type Tilt } from "./tilt";

/** What is checked, in the order in which the student should put it right. */
export const CHECKS = ["whole", "distance", "room", "view", "level", "height", "light"] as const;
export type Check = (typeof CHECKS)[number];

export const CHECK_NAMES: Record<Check, string> = {
  whole: "All of you in view",
  distance: "Distance",
  room: "Room for the club",
  view: "View",
  level: "Phone level",
  height: "Lens height",
  light: "Light",
};

export type Code = keyof typeof shared.words;

/** One check's answer. `unknown`: it cannot be told here and now, which never counts against the student. */
export type Told =
  | { check: Check; state: "good" }
  | { check: Check; state: "unknown" }
  /** `short`: to be read from where the golfer stands; `message`: the server's own sentence. */
  | { check: Check; state: "bad"; code: Code; short: string; message: string };

export interface Situation {
  /** False where this phone cannot run the networks: then nothing is known of the golfer. */
  looked: boolean;
  /** The golfer in the last second's pictures, in pixels of those; empty where nobody is seen. */
  track: Track;
  /** The pictures' size, and how many of the film's pixels make one of theirs. */
  size: Size;
  filmPx: number;
  crowded: boolean;
  light: number | null;
  /** Seconds that each picture is exposed, where the camera tells. */
  exposureS: number | null;
  tilt: Tilt | null;
  view: View;
  handed: Hand;
  clubM: number | null;
  statureM: number | null;
}

/** The longest exposure at which a club still shows in the backswing (the guide asks for 1/250 s; working value). */
const EXPOSURE_MAX_S = 1 / 100;

const good = (check: Check): Told => ({ check, state: "good" });
const unknown = (check: Check): Told => ({ check, state: "unknown" });

function bad(check: Check, code: Code, short: string, blanks: Readonly<Record<string, string>> = {}): Told {
  const message = Object.entries(blanks).reduce((text, [name, value]) => text.replaceAll(`{${name}}`, value), shared.words[code]);
  return { check, state: "bad", code, short, message };
}

/** Every check's answer, in the order of `CHECKS`. */
export function judge(now: Situation): Told[] {
  const seen = now.track.length > 0;
  return [
    seen ? whole(now) : now.looked ? bad("whole", "nobody_in_view", "Step into the picture") : unknown("whole"),
    seen ? distance(now) : unknown("distance"),
    seen ? clubRoom(now) : unknown("room"),
    seen ? view(now) : unknown("view"),
    level(now.tilt),
    seen ? height(now) : unknown("height"),
    light(now),
  ];
}

const AIM: Record<Edge, string> = {
  top: "Head cut off: aim higher or move back",
  bottom: "Feet cut off: aim lower or move back",
  left: "Cut off at the side: turn the phone",
  right: "Cut off at the side: turn the phone",
};

function whole(now: Situation): Told {
  if (now.crowded) return bad("whole", "several_people", "Somebody else is close: wait until you are alone");
  const edge = cutOffAt(now.track, now.size);
  return edge === null ? good("whole") : bad("whole", "person_cut_off", AIM[edge]);
}

function distance(now: Situation): Told {
  const away = distanceM(scale(now.track, now.statureM), now.size);
  if (surelyBelow(away, LIMITS.near_m)) return bad("distance", "camera_near", "Too near: move the phone back");
  if (legPx(now.track) * now.filmPx < LIMITS.leg_min_px) return bad("distance", "person_small", "Too far: bring the phone nearer");
  return good("distance");
}

/** How far the clubhead reaches from the middle of the feet, statures: up, and to the picture's left and right. */
export function reach(view: View, handed: Hand, clubStatures: number): { up: number; left: number; right: number } {
  if (view === "face-on") {
    const aside = room["face-on"].aside + clubStatures;
    return { up: room["face-on"].up + clubStatures, left: aside, right: aside };
  }
  const { up, ball_side, other_side } = room["down-the-line"];
  // From behind a right-hander faces the picture's right, where the ball lies.
  const ball = ball_side + clubStatures;
  return { up: up + clubStatures, left: handed === "left" ? ball : other_side, right: handed === "left" ? other_side : ball };
}

function clubRoom(now: Situation): Told {
  const tall = staturePx(now.track);
  const [x, y] = feet(now.track);
  const clubStatures = (now.clubM ?? room.club_m) / (now.statureM ?? LIMITS.stature_m.value);
  const needs = reach(now.view, now.handed, clubStatures);
  const lacks = (have: number, need: number): boolean => have / tall < need - room.doubt;
  if (lacks(y, needs.up)) return bad("room", "club_cut_off", "No room for the club above you: aim higher or move back");
  if (lacks(x, needs.left) || lacks(now.size.width - 1 - x, needs.right)) {
    return bad("room", "club_cut_off", "No room for the club beside you: move the phone back");
  }
  return good("room");
}

const PUT: Record<View, string> = {
  "face-on": "Put the phone square to your chest",
  "down-the-line": "Put the phone behind your hands",
};

function view(now: Situation): Told {
  const seen = viewSeen(now.track);
  if (seen === now.view) return good("view");
  const place = shared.place[now.view];
  if (seen === null) return bad("view", "view_unclear", PUT[now.view], { place });
  return bad("view", "view_contradicts", `Looks ${seen}: ${PUT[now.view].replace("Put", "put")}`, { declared: now.view, seen });
}

function level(tilt: Tilt | null): Told {
  if (tilt === null) return unknown("level");
  const lean = Math.abs(tilt.leanDeg);
  if (!surelyAbove({ value: lean, sigma: LEAN_SIGMA_DEG }, LIMITS.roll_limit_deg)) return good("level");
  const degrees = lean.toFixed(0);
  return bad("level", "camera_not_level", `The phone leans ${degrees}°: level it`, { degrees });
}

function height(now: Situation): Told {
  if (now.tilt === null) return unknown("height");
  const down = { value: now.tilt.downDeg, sigma: DOWN_SIGMA_DEG };
  const above = aboveHandsM(now.track, scale(now.track, now.statureM), now.size, down, -now.tilt.leanDeg);
  if (surelyAbove(above, LIMITS.high_m)) return bad("height", "camera_high", "Lens too high: lower it to your hands");
  if (surelyBelow(above, -LIMITS.low_m)) return bad("height", "camera_low", "Lens too low: raise it to your hands");
  return good("height");
}

function light(now: Situation): Told {
  if (now.light === null) return unknown("light");
  const dark = now.light < LIMITS.dark_told || (now.exposureS !== null && now.exposureS > EXPOSURE_MAX_S);
  return dark ? bad("light", "picture_dark", "Too dark: find brighter light, behind the phone") : good("light");
}

