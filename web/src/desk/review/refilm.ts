/** Why a coach asks for a new clip, with words to start from. */
export const REFILM_REASONS = [
  { code: "wrong_view", name: "Wrong view", words: "Please film it again from the view asked for; the filming guide shows where the phone stands." },
  { code: "camera_off_line", name: "Camera off its line", words: "Please place the phone square to you, as the filming guide shows; this one stood too far to the side." },
  { code: "cut_off", name: "Club, ball, head or feet cut off", words: "Please step back a little: club, ball, head and feet should all stay in the picture." },
  { code: "too_dark_or_blurred", name: "Too dark or blurred", words: "Please film in brighter light, with the phone standing still and the lens wiped." },
  { code: "no_still_address", name: "No still address", words: "Please stand still for one second at address before you swing." },
  { code: "ends_too_soon", name: "Ends before the finish", words: "Please let the film run until you have held the finish." },
  { code: "other", name: "Something else", words: "" },
] as const;
