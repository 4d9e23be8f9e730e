import type {
  Answer,
  AnswerDrill,
  AnswerPicture,
  Checkpoint,
  Clip,
  DraftWords,
  Drawing,
  Drill,
  DrillChoice,
  FindingCode,
  FindingTold,
  Judged,
  Review,
} from "../../api/types";
import { readsEnglish } from "../../words/language.svelte";
import { isOpen, linesOf } from "./judging";
import { keyframesNow } from "./keyframes";

/** The answer as it would go out now, for the preview. Sending makes the server's own, from the same parts. */
export function draftAnswer(
  review: Review,
  { text, later, judgements, by_eye, drawings, drills, what_changed }: DraftWords,
  nameOf: (code: FindingCode) => { name: string; meaning: string },
  library: readonly Drill[],
  checkpoints: readonly Checkpoint[],
  coachName: string,
): Answer {
  return {
    text,
    number: (review.submission.answer?.number ?? 0) + 1,
    later: [...later],
    what_changed: review.corrects === null ? null : what_changed,
    earlier: review.corrects === null || review.submission.answer === null ? [] : [review.submission.answer, ...review.submission.answer.earlier],
    findings: findingsTold(review, judgements, nameOf),
    sent_at: new Date().toISOString(),
    coach_name: coachName,
    recall_until: null,
    by_eye,
    drawings,
    pictures: picturesOf(review, drawings, checkpoints),
    readings: review.readings,
    drills: drills.flatMap((choice) => described(choice, library)),
    together: review.together && {
      ...review.together,
      findings: review.together.findings.filter((one) => !dismissedCodes(judgements).has(one.code)),
    },
    drill_proof: review.drill_proof,
  };
}

function described(choice: DrillChoice, library: readonly Drill[]): AnswerDrill[] {
  const drill = library.find((item) => item.id === choice.drill_id);
  if (drill === undefined) return [];
  const { name, purpose, kit, steps, caution, next_clip } = drill;
  return [{ ...choice, name, purpose, kit, steps, caution, next_clip }];
}

/**
 * One picture a keyframe: the machine's, unless the number and verdict written on it are told otherwise, the student writes
 * numbers in another way, or the coach drew on it.
 * Then the frames that were drawn on and that their keyframes have left.
 */
function picturesOf(review: Review, drawings: readonly Drawing[], checkpoints: readonly Checkpoint[]): AnswerPicture[] {
  return review.submission.clips.flatMap((clip) => {
    const here = drawings.filter((one) => one.clip_id === clip.id);
    const shown = keyframePictures(review, clip, here, checkpoints);
    return [...shown, ...leftPictures(review, clip, here, shown)];
  });
}

function leftPictures(review: Review, clip: Clip, drawings: readonly Drawing[], shown: readonly AnswerPicture[]): AnswerPicture[] {
  const left = drawings.filter((one, index) => shown.every((item) => item.frame !== one.frame) && drawings.findIndex((item) => item.frame === one.frame) === index);
  return left.flatMap(({ swing, keyframe, frame }): AnswerPicture[] => {
    const url = clip.media?.frames[frame];
    const mark = review.draft.marks.find((item) => item.clip_id === clip.id && item.swing === swing && item.keyframe === keyframe);
    return url === undefined ? [] : [{ clip_id: clip.id, swing, keyframe, frame, url, lines_drawn: false, off_moment: mark?.frame !== frame }];
  });
}

function keyframePictures(review: Review, clip: Clip, drawings: readonly Drawing[], checkpoints: readonly Checkpoint[]): AnswerPicture[] {
  return (clip.measurement?.swings ?? []).flatMap((_, swing) => {
    const marks = review.draft.marks.filter((mark) => mark.clip_id === clip.id && mark.swing === swing);
    return keyframesNow(clip.measurement, swing, marks).flatMap((keyframe): AnswerPicture[] => {
      const { frame } = keyframe;
      if (frame === null) return [];
      const otherwise = keyframe.moved || toldOtherwise(review, checkpoints, clip.id, swing, keyframe.id);
      const lines_drawn = readsEnglish(review.submission.student.language) && !otherwise && swing === 0 && drawings.every((one) => one.frame !== frame);
      const url = lines_drawn ? clip.media?.annotated[keyframe.id] : clip.media?.frames[frame];
      if (url === undefined) return [];
      return [{ clip_id: clip.id, swing, keyframe: keyframe.id, frame, url, lines_drawn, off_moment: false }];
    });
  });
}

function toldOtherwise(
  review: Review,
  checkpoints: readonly Checkpoint[],
  clipId: string,
  swing: number,
  keyframe: string,
): boolean {
  return review.readings.some(
    (reading) =>
      (reading.source === "coach" || reading.adjusted !== null || reading.own_bands !== null) &&
      reading.clip_id === clipId &&
      reading.swing === swing &&
      checkpoints.some((item) => item.main && item.id === reading.checkpoint && item.keyframe === keyframe),
  );
}

const dismissedCodes = (judgements: readonly Judged[]): Set<string | null> =>
  new Set(judgements.filter((one) => one.verdict === "dismissed").map((one) => one.code));

/** What the student will be told stood out: the coach's word first, then what is clear, then what is open. */
function findingsTold(
  review: Review,
  judgements: readonly Judged[],
  wordsOf: (code: FindingCode) => { name: string; meaning: string },
): FindingTold[] {
  const lines = linesOf(review.findings, judgements, (code) => wordsOf(code).name).filter((line) => line.judged?.verdict !== "dismissed");
  const rank = (line: (typeof lines)[number]): number => (line.judged !== null ? 0 : isOpen(line) ? 2 : 1);
  return [...lines]
    .sort((one, other) => rank(one) - rank(other))
    .map(({ name, found, judged }) => ({
      code: found?.code ?? judged?.code ?? null,
      name,
      meaning: found?.meaning ?? (judged?.code ? wordsOf(judged.code).meaning : ""),
      caution: found?.caution ?? "",
      sure: found?.sure ?? false,
      judged: judged?.verdict ?? "open",
      seen_by_machine: found !== null,
      words: judged?.words ?? "",
      because: found?.because ?? [],
    }));
}
