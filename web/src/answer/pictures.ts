import { isMissing, type Answer, type Reading, type Submission, type View, type Xy } from "../api/types";
import { amount, keyframeWords, pointWords } from "../words/golf";

interface Common {
  key: string;
  url: string;
  keyframe: string;
  view: View;
  alt: string;
}

/** A picture of an answer: lines drawn here over a plain still, or already in the picture. */
export type Picture =
  | (Common & { kind: "plain" })
  | (Common & { kind: "drawn"; width: number; height: number; points: Record<string, Xy>; rowShift: number });

/**
 * The pictures to show. Where a number was read on the very frame of a plain still, its lines are
 * drawn over it (so a coach's points show); otherwise the picture comes as the server made it.
 */
export function picturesOf(answer: Answer, submission: Submission): Picture[] {
  return answer.pictures.flatMap((picture): Picture[] => {
    const clip = submission.clips.find((item) => item.id === picture.clip_id);
    if (clip === undefined) return [];
    const reading = answer.readings.find((item) => item.clip_id === clip.id && readAt(item, picture.keyframe));
    const common = {
      key: `${clip.id}/${picture.keyframe}`,
      url: picture.url,
      keyframe: picture.keyframe,
      view: clip.view,
      alt: altWords(picture.keyframe, reading),
    };
    const still = clip.media?.stills[picture.keyframe];
    const machine = clip.measurement?.swings[reading?.swing ?? 0]?.keyframes[picture.keyframe];
    const sameFrame = machine !== undefined && !isMissing(machine) && machine.frame === reading?.frame;
    if (reading === undefined || still === undefined || !sameFrame || clip.measurement === null) {
      return [{ kind: "plain", ...common }];
    }
    const { width, height } = clip.measurement.clip;
    const rowShift = reading.inputs["ground_row_shift_px"] ?? 0;
    return [{ kind: "drawn", ...common, url: still, width, height, points: reading.points, rowShift }];
  });
}

const READ_AT: Record<string, string> = {
  lead_arm_shaft_angle: "lead_arm_parallel",
  butt_end_inside: "lead_arm_parallel",
};

const readAt = (reading: Reading, keyframe: string): boolean => READ_AT[reading.checkpoint] === keyframe;

function altWords(keyframe: string, reading: Reading | undefined): string {
  const place = keyframeWords(keyframe);
  if (reading === undefined || reading.value === null || reading.unit === null) return `Your swing at ${place.toLowerCase()}.`;
  const marked = Object.keys(reading.points).map((name) => pointWords(name).toLowerCase());
  return `Your swing at ${place.toLowerCase()}, with lines through ${marked.join(", ")}: ${amount(reading.value, reading.unit)}.`;
}
