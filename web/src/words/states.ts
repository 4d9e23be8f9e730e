import type { Clip, Submission } from "../api/types";

/** The way of a submission, as four steps a student can follow. */
export interface Step {
  name: string;
  words: string;
  standing: "done" | "now" | "next" | "stuck";
}

const NAMES = ["Clip sent", "Measured", "With a coach", "Answered"] as const;

/** Which of the four steps is the present one; 4 when all are done. */
const PLACE: Record<Submission["state"], number> = {
  receiving: 0,
  analysing: 1,
  waiting: 2,
  with_coach: 2,
  answered: 4,
  refilm_asked: 2,
  withdrawn: 0,
  unreadable: 1,
};

export function steps(submission: Submission, due: string): Step[] {
  const place = PLACE[submission.state];
  const stuck = submission.state === "refilm_asked" || submission.state === "unreadable";
  return NAMES.map((name, index) => {
    const standing = index < place ? "done" : index > place ? "next" : stuck ? "stuck" : "now";
    return { name, standing, words: index === place ? wordsNow(submission, due) : "" };
  });
}

function wordsNow(submission: Submission, due: string): string {
  switch (submission.state) {
    case "receiving":
      return "Arriving now. What has arrived is kept, even if the line drops.";
    case "analysing":
      return "Everything has arrived. The clip is being measured.";
    case "waiting":
      return `Waiting for a coach. Answer due ${due}.`;
    case "with_coach":
      return `A coach is working on it. Answer due ${due}.`;
    case "unreadable":
      return "It could not be measured. Why, and what to film again, is below.";
    case "refilm_asked":
      return "Your coach asks for a new clip. What to change is below.";
    default:
      return submission.state_words;
  }
}

/** Short, for lists. */
export const STATE_NAMES: Record<Submission["state"], string> = {
  receiving: "Arriving",
  analysing: "Being measured",
  waiting: "Waiting for a coach",
  with_coach: "With a coach",
  answered: "Answered",
  refilm_asked: "Please film again",
  withdrawn: "Taken back",
  unreadable: "Please film again",
};

export const STATE_MARKS = {
  receiving: "wait",
  analysing: "wait",
  waiting: "wait",
  with_coach: "wait",
  answered: "good",
  refilm_asked: "film",
  withdrawn: "remove",
  unreadable: "film",
} as const satisfies Record<Submission["state"], string>;

const STAGES: Record<string, string> = {
  probe: "Looking at the file",
  scan: "Looking for the golfer and the swing",
  track: "Following body and club",
  measure: "Measuring",
  proxy: "Making the viewing copy",
  stills: "Making the pictures",
  storing: "Putting it all away safely",
};

export const stageWords = (progress: Clip["progress"]): string =>
  progress === null ? "Waiting for its turn" : (STAGES[progress.stage] ?? "Measuring");
