import type { Clip, RefilmReason, View } from "../../api/types";
import { canDraw, type DrawingCode } from "../../filming/problems";

/** Why a coach asks for a new clip, with words to start from. The codes are the server's. */
export const REFILM_REASONS = [
  { code: "wrong_view", name: "Wrong view", words: "The clip shows the other view than the one you chose." },
  {
    code: "camera_off_line",
    name: "Camera off its line",
    words:
      "The phone stood off its line. Face-on: square to your chest, aimed at your hands. Down-the-line: on the line through your hands, aimed at the target.",
  },
  { code: "camera_height", name: "Camera too high, too low or leaning", words: "Set the phone level, as high as your hands at address." },
  { code: "camera_moved", name: "Camera moved", words: "Stand the phone on something firm, and let nobody hold it." },
  { code: "too_close_or_wide", name: "Too close or too wide", words: "Stand the phone three to four metres away, without zoom." },
  { code: "cut_off", name: "Something is cut off", words: "Part of you, the club or the ball is out of the picture. Leave room all round." },
  {
    code: "dark_or_blurred",
    name: "Dark or blurred",
    words: "The picture is too dark or blurred to see the club. Film in brighter light, sun behind the phone.",
  },
  { code: "too_few_pictures", name: "Too few pictures a second", words: "Set your phone to 60 pictures a second or more." },
  { code: "no_still_address", name: "No still address", words: "Stand still for one second before you start the swing." },
  { code: "ends_too_early", name: "Ends too early", words: "Keep filming until you have held the finish." },
  { code: "somebody_else", name: "Somebody else in the picture", words: "Film with nobody else close to the camera." },
  { code: "other_club", name: "Another club than named", words: "The club in the clip is not the one you named." },
  { code: "mirrored", name: "Mirrored", words: "The picture is mirrored. Use the back camera." },
  { code: "unsafe", name: "Unsafe surroundings", words: "Something is within reach of the club. Clear the space first." },
  { code: "not_a_swing", name: "Not a swing", words: "The clip does not show a swing." },
  { code: "other", name: "Something else", words: "" },
] as const satisfies readonly { code: RefilmReason; name: string; words: string }[];

/** The most that the server takes: more than five is a lesson. */
export const MOST_CAUSES = 5;

/** The cause that a problem found by the camera check is counted under. The server has the same. */
export const REASON_OF_PROBLEM: Readonly<Record<string, RefilmReason>> = {
  view_contradicts: "wrong_view",
  view_unclear: "camera_off_line",
  hand_contradicts: "mirrored",
  camera_off_line: "camera_off_line",
  camera_not_level: "camera_height",
  camera_high: "camera_height",
  camera_low: "camera_height",
  camera_near: "too_close_or_wide",
  camera_moves: "camera_moved",
  person_small: "too_close_or_wide",
  person_cut_off: "cut_off",
  club_cut_off: "cut_off",
  low_frame_rate: "too_few_pictures",
  picture_dark: "dark_or_blurred",
  picture_blurred: "dark_or_blurred",
  no_swing: "not_a_swing",
};

/** The guide's drawing for a cause that the camera check did not find. The server has the same; what no drawing shows has none. */
export const DRAWING_OF_REASON: Readonly<Partial<Record<RefilmReason, DrawingCode>>> = {
  wrong_view: "view_contradicts",
  camera_off_line: "camera_off_line",
  camera_height: "camera_low",
  camera_moved: "camera_moves",
  too_close_or_wide: "person_small",
  cut_off: "person_cut_off",
  dark_or_blurred: "picture_dark",
  too_few_pictures: "low_frame_rate",
  no_still_address: "no_swing",
  ends_too_early: "no_swing",
  somebody_else: "several_people",
  mirrored: "hand_contradicts",
  not_a_swing: "no_swing",
};

export interface Cause {
  code: RefilmReason;
  name: string;
  words: string;
  /** Found by the camera check, on the clips of these views. */
  found: View[];
}

/** Every cause with its sentence: first what the camera check found, in its own words, then the rest. */
export function causesFor(clips: readonly Clip[]): { found: Cause[]; others: Cause[] } {
  const problems = clips.flatMap((clip) => (clip.measurement?.view.problems ?? []).map((one) => ({ ...one, view: clip.view })));
  const causes = REFILM_REASONS.map(({ code, name, words }): Cause => {
    const mine = problems.filter((one) => REASON_OF_PROBLEM[one.code] === code);
    const told = [...new Set(mine.map((one) => one.message))].join(" ");
    return { code, name, words: told || words, found: [...new Set(mine.map((one) => one.view))] };
  });
  return { found: causes.filter((one) => one.found.length > 0), others: causes.filter((one) => one.found.length === 0) };
}

/** The drawings that the student gets with a request: for each cause those of what was found on the clips, else the guide's own. */
export function drawingsFor(clips: readonly Clip[], causes: readonly RefilmReason[]): { code: DrawingCode; view: View }[] {
  const problems = clips.flatMap((clip) => (clip.measurement?.view.problems ?? []).map(({ code }) => ({ code, view: clip.view as View })));
  return causes.flatMap((cause) => {
    const found = problems.filter(({ code }) => REASON_OF_PROBLEM[code] === cause);
    const usual = DRAWING_OF_REASON[cause];
    const drawn: { code: string; view: View }[] = found.length > 0 || usual === undefined ? found : clips.slice(0, 1).map(({ view }) => ({ code: usual, view }));
    return drawn.flatMap(({ code, view }) => (canDraw(code) ? [{ code, view }] : []));
  });
}

/** The message with a cause's sentence added, or taken out where it stands as it was. */
export function withCause(message: string, words: string, chosen: boolean): string {
  if (words === "") return message;
  if (chosen) return message.includes(words) ? message : [message.trim(), words].filter((part) => part !== "").join("\n");
  return message
    .split("\n")
    .filter((line) => line.trim() !== words)
    .join("\n");
}
