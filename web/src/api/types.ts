import type { components } from "./schema";

/**
 * The API's bodies by the names the pages use. They come from its own description; only what that
 * leaves open (the measurement document, points as pairs) is written out here.
 */
type Schemas = components["schemas"];

export type Role = Schemas["Role"];
export type View = Schemas["View"];
export type Hand = Schemas["Hand"];
export type Purpose = Schemas["Purpose"];
export type Unit = Schemas["Unit"];
export type Band = "good" | "watch" | "outside" | "too_close" | "no_target";
export type Xy = [number, number];

export type Me = Schemas["MeRead"];
export type Membership = Schemas["PlaceRead"];
export type Club = Schemas["ClubRead"];
export type Invitation = Schemas["InvitationRead"];
export type PersonRow = Schemas["PersonRead"];
export type OutboxMail = Schemas["MailRead"];

export type NewSubmission = Required<Schemas["SubmissionStarted"]>;
export type UploadRead = Schemas["UploadRead"];
export type ClipMedia = Schemas["ClipMediaRead"];
export type Checkpoint = Schemas["CheckpointRead"];
export type Drill = Schemas["DrillRead"];

export interface KeyframeFound {
  time_s: number;
  sigma_s: number;
  frame: number;
}

export interface MissingThing {
  missing: string;
}

export interface MachineReading {
  value: number;
  sigma: number;
  low: number;
  high: number;
  unit: Unit;
  band: Band;
  frame: number;
  points: Record<string, Xy>;
  inputs: Record<string, number>;
}

export interface Swing {
  keyframes: Record<string, KeyframeFound | MissingThing>;
  checkpoints: Record<string, MachineReading | MissingThing>;
  findings: { code: string; sure: boolean; because: string[] }[];
}

/** `fairlead.measurement/1`, as far as the pages read it. */
export interface Measurement {
  clip: { width: number; height: number; frames: number; duration_s: number; frame_rate: number };
  view: {
    declared: View;
    seen: View | null;
    problems: { code: string; severity: "info" | "warning" | "serious"; message: string }[];
  };
  swings: Swing[];
}

export type Clip = Omit<Schemas["ClipRead"], "measurement"> & { measurement: Measurement | null };

export type Reading = Omit<Schemas["ReadingRead"], "points" | "unit" | "band"> & {
  points: Record<string, Xy>;
  unit: Unit | null;
  band: Band | null;
};

export type DrillChoice = Schemas["DrillChosenRead"];
export type DrillDose = Pick<DrillChoice, "sets" | "reps" | "pause_s" | "days_per_week" | "until" | "start" | "ball">;
export type AnswerDrill = Schemas["AnswerDrillRead"];
export type AnswerPicture = Schemas["PictureRead"];
export type Together = Schemas["TogetherRead"];
export type Evidence = Schemas["EvidenceRead"];
export type DrillProof = Schemas["DrillProofRead"];
export type Asked = Schemas["AskedRead"];
export type Verdict = Schemas["Verdict"];
export type EyeItem = Schemas["EyeItem"];
export type EyeSeen = Schemas["EyeSeen"];
export type ByEye = Schemas["ByEyeRead"];
export type Shape = Schemas["Shape"];
export type Stroke = Schemas["Stroke"];
export type Drawing = Omit<Schemas["DrawingRead"], "places"> & { places: Xy[] };
export type AnswerSent = Omit<Schemas["AnswerSentRead"], "readings" | "drawings"> & { readings: Reading[]; drawings: Drawing[] };
export type Answer = AnswerSent & { earlier: AnswerSent[] };

export type Submission = Omit<Schemas["SubmissionRead"], "clips" | "answer"> & {
  clips: Clip[];
  answer: Answer | null;
};

export type FindingSeen = Schemas["FindingSeenRead"];
export type FindingTold = Schemas["FindingToldRead"];
export type FindingCatalogue = Schemas["FindingCatalogueRead"];
export type FindingCode = Schemas["FindingCode"];
export type DismissReason = Schemas["DismissReason"];
export type Judged = Schemas["JudgedRead"];
export type Phrase = Schemas["PhraseRead"];
export type NewPhrase = Required<Schemas["PhraseSent"]>;
export type Trend = Schemas["TrendRead"];
export type TrendPoint = Schemas["TrendPointRead"];
export type Progress = Schemas["OverTimeRead"];
export type ProgressSeries = Schemas["ProgressSeriesRead"];
export type ProgressPoint = Schemas["ProgressPointRead"];
export type Changed = Schemas["ChangedRead"];
export type Question = Schemas["AskedBackRead"];
export type SentBefore = Schemas["SentBeforeRead"];
export type SentClip = Schemas["SentClipRead"];
export type Practice = Schemas["PracticeRead"];
export type GivenDrill = Schemas["GivenDrillRead"];
export type PractisedDay = Schemas["PractisedRead"];
export type DrillSpan = Schemas["DrillSpanRead"];

/** The parts of a draft that go to the server together, whole. */
export interface DraftWords {
  text: string;
  later: string[];
  judgements: Judged[];
  by_eye: ByEye[];
  drawings: Drawing[];
  drills: DrillChoice[];
  /** Of a correction: what the student is told of it. */
  what_changed: string;
}

export type Adjusted = Schemas["AdjustedRead"];
export type OwnBands = Schemas["OwnBandsRead"];
export type Limits = Pick<OwnBands, "watch_low" | "good_low" | "good_high" | "watch_high">;
export type NewTarget = Required<Schemas["BandsSent"]>;
export type Lesson = Schemas["LessonRead"];
export type Lessons = Schemas["LessonsRead"];

export type ReviewKind = Schemas["ReviewKind"];
export type Colleague = Schemas["PersonNamed"];
export type NewQuestion = Required<Schemas["QuestionSent"]>;
export type OpinionSaid = Omit<Schemas["OpinionSaidRead"], "readings"> & { readings: Reading[] };
export type Opinion = Omit<Schemas["OpinionRead"], "said"> & { said: OpinionSaid | null };
export type OwnWords = Schemas["OwnWordsRead"];
export type Academy = Schemas["AcademyRead"];
export type Agreement = Schemas["AgreementRead"];
export type Agreed = Schemas["AgreedRead"];

export type LastClip = Omit<Schemas["LastClipRead"], "clip"> & { clip: Clip };
export type Mark = Schemas["MarkRead"];
export type PlacedPoint = Schemas["PointRead"];
export type QueueItem = Schemas["QueueItemRead"];
export type Queue = Schemas["QueueRead"];
export type QueueName = Schemas["QueueName"];
export type QueueReason = Schemas["QueueReasonRead"];
export type ReasonCode = Schemas["Reason"];
export type QueueFilters = Schemas["QueueFiltersRead"];
export type FilterCounts = Schemas["FilterCountsRead"];
export type QueueView = Schemas["QueueViewRead"];
export type RefilmReason = Schemas["RefilmReason"];
export type Refilm = Schemas["RefilmRead"];
export type NewFilm = Schemas["RefilmSent"];
export type CheckpointId = Schemas["CheckpointId"];
export type KeyframeId = Schemas["KeyframeId"];
export type PointName = Schemas["PointName"];

export type Draft = Omit<Schemas["DraftRead"], "drawings"> & { drawings: Drawing[] };

export type Review = Omit<Schemas["ReviewRead"], "submission" | "readings" | "draft"> & {
  draft: Draft;
  submission: Submission;
  readings: Reading[];
};

export const isMissing = (thing: object): thing is MissingThing => "missing" in thing;
