import type { Answer, AnswerDrill, Drill, DrillChoice, Review } from "../../api/types";

/** The answer as it would go out now, for the preview. Sending makes the server's own, from the same parts. */
export function draftAnswer(
  review: Review,
  text: string,
  drills: readonly DrillChoice[],
  library: readonly Drill[],
  coachName: string,
): Answer {
  return {
    text,
    sent_at: new Date().toISOString(),
    coach_name: coachName,
    recall_until: null,
    pictures: picturesOf(review),
    readings: review.readings,
    drills: drills.flatMap((choice) => described(choice, library)),
  };
}

function described(choice: DrillChoice, library: readonly Drill[]): AnswerDrill[] {
  const drill = library.find((item) => item.id === choice.drill_id);
  if (drill === undefined) return [];
  const { name, purpose, kit, steps, cautions, next_clip } = drill;
  return [{ ...choice, name, purpose, kit, steps, cautions, next_clip }];
}

function picturesOf(review: Review): Answer["pictures"] {
  return review.submission.clips.flatMap((clip) =>
    Object.entries(clip.media?.annotated ?? {}).map(([keyframe, url]) => ({ clip_id: clip.id, keyframe, url })),
  );
}
