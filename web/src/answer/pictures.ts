import type { AnswerPicture, AnswerSent, Checkpoint, Drawing, Reading, Submission, View, Xy } from "../api/types";
import { drawnWords } from "./drawings";
import { ownLanguage } from "../words/language.svelte";
import { amount, keyframeWords, measureOf, pointWords } from "../words/golf";

interface Common {
  key: string;
  url: string;
  keyframe: string;
  view: View;
  alt: string;
  /** A number was read on this very picture. */
  measured: boolean;
  /** The coach drew on it. */
  drawnOn: boolean;
  /** The coach drew on this frame and put the keyframe on another one afterwards. */
  offMoment: boolean;
}

/** A picture of an answer: with lines drawn over it here, or to be shown as it came. */
export type Picture =
  | (Common & { kind: "plain" })
  | (Common & { kind: "drawn"; width: number; height: number; points: Record<string, Xy>; rowShift: number; drawings: Drawing[] });

/**
 * The pictures to show. Lines are drawn here when the picture has none and a main number was read on
 * its very frame: so a coach's own points show, and lines never lie over another moment. Other numbers
 * draw nothing: a picture that carried the lines of ten would show none of them.
 */
export function picturesOf(answer: AnswerSent, submission: Submission, checkpoints: readonly Checkpoint[], language = ownLanguage()): Picture[] {
  return answer.pictures.flatMap((picture): Picture[] => {
    const clip = submission.clips.find((item) => item.id === picture.clip_id);
    if (clip === undefined) return [];
    const [reading, checkpoint] = readingOn(picture, answer, checkpoints);
    const drawings = answer.drawings.filter((one) => one.clip_id === clip.id && one.frame === picture.frame);
    const common = {
      key: `${clip.id}/${picture.swing}/${picture.keyframe}/${picture.frame}`,
      url: picture.url,
      keyframe: picture.keyframe,
      view: clip.view,
      alt: altWords(picture, reading, checkpoint, language),
      measured: reading !== undefined && reading.value !== null,
      drawnOn: drawings.length > 0,
      offMoment: picture.off_moment,
    };
    const lines = reading !== undefined && !picture.lines_drawn;
    if (clip.measurement === null || (!lines && drawings.length === 0)) return [{ kind: "plain", ...common }];
    const { width, height } = clip.measurement.clip;
    const rowShift = reading?.inputs["ground_row_shift_px"] ?? 0;
    const alt = common.alt + drawnWords(drawings, { width, height });
    return [{ kind: "drawn", ...common, alt, width, height, points: lines ? reading.points : {}, rowShift, drawings }];
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

function altWords({ keyframe, off_moment }: AnswerPicture, reading: Reading | undefined, checkpoint: Checkpoint | undefined, language: string): string {
  const place = keyframeWords(keyframe).toLowerCase();
  if (off_moment) return `Your swing near ${place}.`;
  if (reading === undefined || checkpoint === undefined || reading.value === null) return `Your swing at ${place}.`;
  const marked = Object.keys(reading.points).map((name) => pointWords(name).toLowerCase());
  return `Your swing at ${place}, with lines through ${marked.join(", ")}: ${amount(reading.value, measureOf(checkpoint), language)}.`;
}
