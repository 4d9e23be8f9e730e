/** What was still wrong when a film began, in a few words each. */
export const CHECK_OF: Readonly<Record<string, string>> = {
  nobody_in_view: "nobody in view",
  several_people: "somebody else was close",
  person_cut_off: "part of you was cut off",
  camera_near: "the phone stood too near",
  person_small: "the phone stood too far off",
  club_cut_off: "too little room for the club",
  view_contradicts: "it looked like the other view",
  view_unclear: "the phone stood between the two views",
  camera_not_level: "the phone leaned",
  camera_high: "the lens was too high",
  camera_low: "the lens was too low",
  picture_dark: "it was dark",
};
