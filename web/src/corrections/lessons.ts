import type { Checkpoint, Lesson } from "../api/types";
import { Z95 } from "../geometry/uncertainty";
import { measureOf, size, VIEW_WORDS } from "../words/golf";

const RATE_WORDS: Record<Lesson["rate"], string> = {
  under_45: "fewer than 45 pictures a second",
  from_45: "45 pictures a second or more",
};

/** "Face-on clips of 45 pictures a second or more". */
export const clipsWords = (lesson: Lesson): string => `${VIEW_WORDS[lesson.view]} clips of ${RATE_WORDS[lesson.rate]}`;

/** "On 12 corrections the machine read 2.1° too high, give or take 0.8°." */
export function lessonWords(lesson: Lesson, checkpoint: Checkpoint, fewest: number): string {
  const { bias, bias_sigma, corrections } = lesson;
  const count = `${corrections} ${corrections === 1 ? "correction" : "corrections"}`;
  if (bias === null || bias_sigma === null) {
    const short = corrections < fewest ? ` It takes ${fewest}.` : "";
    return `${count}: nothing learnt yet.${short}`;
  }
  const measure = measureOf(checkpoint);
  const side = bias < 0 ? "too low" : "too high";
  return `On ${count} the machine read ${size(bias, measure)} ${side}, give or take ${size(Z95 * bias_sigma, measure)}.`;
}

/** What widens its doubt, where anything does. */
export function spreadWords(lesson: Lesson, checkpoint: Checkpoint): string {
  if (lesson.spread === null || size(lesson.spread, measureOf(checkpoint)) === size(0, measureOf(checkpoint))) return "";
  return `What that leaves unsure, ${size(Z95 * lesson.spread, measureOf(checkpoint))} to either side, is added to its own doubt.`;
}

/** The lessons by version of the pipeline, as they came: the newest first. */
export function byPipeline(lessons: readonly Lesson[]): { pipeline: string; lessons: Lesson[] }[] {
  const versions = [...new Set(lessons.map((lesson) => lesson.pipeline))];
  return versions.map((pipeline) => ({ pipeline, lessons: lessons.filter((lesson) => lesson.pipeline === pipeline) }));
}
