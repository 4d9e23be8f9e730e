/** What the API says, by the names the pages use. */

export type Role = "student" | "coach" | "admin";
export type View = "face-on" | "down-the-line";
export type Hand = "right" | "left";
export type Purpose = "full" | "rehearsal" | "pause" | "slow";
export type Band = "good" | "watch" | "outside" | "too_close";
export type Unit = "deg" | "grip";
export type Xy = [number, number];

export interface Membership {
  id: string;
  academy_id: string;
  academy_name: string;
  role: Role;
  time_zone: string;
}

export interface Me {
  person: { id: string; name: string; email: string };
  memberships: Membership[];
  active: Membership;
  csrf_token: string | null;
  handed: Hand;
  stature_m: number | null;
}

export interface Club {
  id: string;
  name: string;
  length_m: number;
}

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

export interface Measurement {
  clip: { width: number; height: number; frames: number; duration_s: number; frame_rate: number };
  view: {
    declared: View;
    seen: View | null;
    azimuth_deg: { value: number; sigma: number } | null;
    roll_deg: { value: number; sigma: number } | null;
    problems: { code: string; severity: "info" | "warning" | "serious"; message: string }[];
  };
  swings: Swing[];
}

export interface ClipMedia {
  proxy: string | null;
  frame_times: string | null;
  tracks: string | null;
  stills: Record<string, string>;
  annotated: Record<string, string>;
  /** Plain pictures by frame number, near keyframes. */
  frames: Record<string, string>;
}

export interface Clip {
  id: string;
  view: View;
  state: "received" | "measured" | "refused" | "failed";
  refusal: { code: string; message: string } | null;
  progress: { stage: string; share: number } | null;
  measurement: Measurement | null;
  media: ClipMedia | null;
}

export interface UploadRead {
  id: string;
  view: View;
  offset: number;
  length: number;
  state: "receiving" | "complete" | "expired" | "cancelled";
}

export type SubmissionState =
  | "receiving"
  | "analysing"
  | "waiting"
  | "with_coach"
  | "answered"
  | "refilm_asked"
  | "withdrawn"
  | "unreadable";

export interface Submission {
  id: string;
  state: SubmissionState;
  state_words: string;
  state_reason: string;
  created_at: string;
  due_at: string | null;
  club: { name: string; length_m: number | null } | null;
  purpose: Purpose;
  with_ball: boolean;
  handed: Hand;
  note: string;
  student: { id: string; name: string };
  uploads: UploadRead[];
  clips: Clip[];
  review: { id: string; state: string } | null;
  answer: Answer | null;
}

export interface Reading {
  clip_id: string;
  swing: number;
  checkpoint: string;
  source: "machine" | "coach";
  value: number | null;
  sigma: number | null;
  low: number | null;
  high: number | null;
  unit: Unit | null;
  band: Band | null;
  missing: string | null;
  frame: number | null;
  points: Record<string, Xy>;
  inputs: Record<string, number>;
}

export interface DrillDose {
  sets: number;
  reps: number;
  pause_s: number | null;
  days_per_week: number;
  until: string | null;
}

export interface DrillChoice extends DrillDose {
  drill_id: string;
  note: string;
}

export interface Drill {
  id: string;
  name: string;
  purpose: string;
  helps: string;
  kit: string[];
  steps: string[];
  dose: { sets: number; reps: number; pause_s: number; days_per_week: number; weeks: number };
  cautions: string[];
  next_clip: string;
}

export interface AnswerDrill extends DrillChoice {
  name: string;
  purpose: string;
  kit: string;
  steps: string[];
  caution: string;
  next_clip: string;
}

export interface AnswerPicture {
  clip_id: string;
  swing: number;
  keyframe: string;
  frame: number;
  url: string;
  /** The machine's lines are in the picture, and hold. */
  lines_drawn: boolean;
}

export interface Answer {
  text: string;
  sent_at: string;
  coach_name: string;
  recall_until: string | null;
  pictures: AnswerPicture[];
  readings: Reading[];
  drills: AnswerDrill[];
}

export interface QueueItem {
  id: string;
  submission_id: string;
  student_name: string;
  club: string | null;
  purpose: Purpose;
  views: View[];
  due_at: string;
  late: boolean;
  state: string;
  claimed_by: { id: string; name: string } | null;
  lease_ends_at: string | null;
  waiting_since: string;
}

export interface Queue {
  items: QueueItem[];
  next_cursor: string | null;
  counts: Record<string, number>;
}

export interface Mark {
  clip_id: string;
  swing: number;
  keyframe: string;
  frame: number;
  time_s: number;
}

export interface PlacedPoint {
  clip_id: string;
  swing: number;
  keyframe: string;
  frame: number;
  point: string;
  x: number;
  y: number;
}

export interface Draft {
  text: string;
  marks: Mark[];
  points: PlacedPoint[];
  drills: DrillChoice[];
}

export interface Review {
  id: string;
  state: "waiting" | "claimed" | "answered" | "closed";
  version: number;
  submission: Submission;
  claimed_by: { id: string; name: string } | null;
  lease_ends_at: string | null;
  recall_until: string | null;
  draft: Draft;
  readings: Reading[];
  history: { at: string; act: string; by: string | null }[];
}

export interface Checkpoint {
  id: string;
  name: string;
  meaning: string;
  view: View;
  keyframe: string;
  unit: Unit;
  points: string[];
  bands: { watch_low: number; good_low: number; good_high: number; watch_high: number };
  bands_source: string;
}

export interface Invitation {
  id: string;
  email: string;
  name: string;
  role: Role;
  created_at: string;
  expires_at: string;
}

export interface PersonRow {
  membership_id: string;
  name: string;
  email: string | null;
  role: Role;
  joined_at: string;
  deactivated_at: string | null;
}

export interface OutboxMail {
  id: string;
  to: string;
  subject: string;
  body: string;
  created_at: string;
}

export const isMissing = (thing: object): thing is MissingThing => "missing" in thing;
