import type { RefilmReason } from "../../api/types";

/** Why a coach asks for a new clip, with words to start from. The codes are the server's. */
export const REFILM_REASONS = [
  { code: "wrong_view", name: "Wrong view", words: "The clip shows the other view than the one you chose." },
  {
    code: "camera_off_line",
    name: "Camera off its line",
    words:
      "The phone stood off its line. Face-on: square to your chest, aimed at your hands. Down-the-line: on the line through your hands, aimed at the target.",
  },
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
