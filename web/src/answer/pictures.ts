import type { AnswerPicture, AnswerSent, Checkpoint, Reading, Submission, View, Xy } from "../api/types";
import { amount, keyframeWords, measureOf, pointWords } from "../words/golf";

interface Common {
  key: string;
  url: string;
  keyframe: string;
  view: View;
  alt: string;
  /** A number was read on this very picture. */
  measured: boolean;
}

/** A picture of an answer: with lines drawn over it here, or to be shown as it came. */
export type Picture =
  | (Common & { kind: "plain" })
  | (Common & { kind: "drawn"; width: number; height: number; points: Record<string, Xy>; rowShift: number });

/**
 * The pictures to show. Lines are drawn here when the picture has none and a main number was read on
 * its very frame: so a coach's own points show, and lines never lie over another moment. Other numbers
 * draw nothing: a picture that carried the lines of ten would show none of them.
 */
export function picturesOf(answer: AnswerSent, submission: Submission, checkpoints: readonly Checkpoint[]): Picture[] {
  return answer.pictures.flatMap((picture): Picture[] => {
    const clip = submission.clips.find((item) => item.id === picture.clip_id);
    if (clip === undefined) return [];
    const [reading, checkpoint] = readingOn(picture, answer, checkpoints);
    const common = {
      key: `${clip.id}/${picture.swing}/${picture.keyframe}`,
      url: picture.url,
      keyframe: picture.keyframe,
      view: clip.view,
      alt: altWords(picture.keyframe, reading, checkpoint),
      measured: reading !== undefined && reading.value !== null,
    };
    if (reading === undefined || picture.lines_drawn || clip.measurement === null) return [{ kind: "plain", ...common }];
    const { width, height } = clip.measurement.clip;
    const rowShift = reading.inputs["ground_row_shift_px"] ?? 0;
    return [{ kind: "drawn", ...common, width, height, points: reading.points, rowShift }];
  });
}

function readingOn(
  picture: AnswerPicture,
  answer: AnswerSent,
  checkpoints: readonly Checkpoint[],
): [Reading, Checkpoint] | [undefined, undefined] {
  for (const reading of answer.readings) {
    const there =
      reading.clip_id === picture.clip_id && reading.swing === picture.swing && reading.frame === picture.frame;
    const checkpoint = checkpoints.find((item) => item.main && item.id === reading.checkpoint && item.keyframe === picture.keyframe);
    if (there && checkpoint) return [reading, checkpoint];
  }
  return [undefined, undefined];
}

function altWords(keyframe: string, reading: Reading | undefined, checkpoint: Checkpoint | undefined): string {
  const place = keyframeWords(keyframe).toLowerCase();
  if (reading === undefined || checkpoint === undefined || reading.value === null) return `Your swing at ${place}.`;
  const marked = Object.keys(reading.points).map((name) => pointWords(name).toLowerCase());
  return `Your swing at ${place}, with lines through ${marked.join(", ")}: ${amount(reading.value, measureOf(checkpoint))}.`;
}
