import { request, type Answered } from "./client";
import type {
  Checkpoint,
  Club,
  Drill,
  DrillChoice,
  Hand,
  Invitation,
  Me,
  OutboxMail,
  PersonRow,
  Purpose,
  Queue,
  Review,
  Role,
  Submission,
} from "./types";

/** Every request the pages make, by name. */

const get = async <T>(path: string): Promise<T> => (await request<T>("GET", path)).data;
const post = async <T>(path: string, body?: unknown): Promise<T> =>
  (await request<T>("POST", path, body === undefined ? {} : { body })).data;

// People and sign-in

export const me = (): Promise<Me> => get("/me");
export const askSignInLink = (email: string): Promise<null> => post("/sign-in-links", { email });
export const signIn = (token: string): Promise<Me> => post("/sessions", { token });
export const acceptInvitation = (token: string, name: string): Promise<Me> =>
  post("/invitation-acceptances", name ? { token, name } : { token });
export const signOut = async (): Promise<void> => void (await request("DELETE", "/sessions/current"));
export const activate = async (membershipId: string): Promise<void> =>
  void (await request("PUT", "/me/active", { body: { membership_id: membershipId } }));
export const outboxMails = (): Promise<OutboxMail[]> => get("/outbox-mails");

export interface PeoplePage {
  items: PersonRow[];
  next_cursor: string | null;
}

export const people = (cursor?: string): Promise<PeoplePage> =>
  get(`/people${cursor ? `?cursor=${encodeURIComponent(cursor)}` : ""}`);
export const invitations = (): Promise<Invitation[]> => get("/invitations");
export const invite = (email: string, name: string, role: Role): Promise<Invitation> =>
  post("/invitations", { email, name, role });
export const resendInvitation = (id: string): Promise<Invitation> => post(`/invitations/${id}/resend`);
export const revokeInvitation = async (id: string): Promise<void> =>
  void (await request("DELETE", `/invitations/${id}`));
export const deactivate = (membershipId: string): Promise<PersonRow> => post(`/people/${membershipId}/deactivate`);
export const reactivate = (membershipId: string): Promise<PersonRow> => post(`/people/${membershipId}/reactivate`);

// Clubs, clips

export const clubs = (): Promise<Club[]> => get("/clubs");
export const addClub = (name: string, lengthM: number): Promise<Club> => post("/clubs", { name, length_m: lengthM });

export interface NewSubmission {
  club_id: string | null;
  purpose: Purpose;
  with_ball: boolean;
  handed: Hand;
  note: string;
}

export const createSubmission = async (body: NewSubmission, idempotencyKey: string): Promise<Submission> =>
  (await request<Submission>("POST", "/submissions", { body, idempotencyKey })).data;
export const submissions = (cursor?: string): Promise<{ items: Submission[]; next_cursor: string | null }> =>
  get(`/submissions${cursor ? `?cursor=${encodeURIComponent(cursor)}` : ""}`);
export const submission = (id: string): Promise<Submission> => get(`/submissions/${id}`);
export const withdraw = (id: string): Promise<Submission> => post(`/submissions/${id}/withdraw`);

// Reviews

export type QueueFilter = "waiting" | "claimed" | "answered" | "mine";

export const queue = (state: QueueFilter, cursor?: string): Promise<Queue> =>
  get(`/reviews?state=${state}${cursor ? `&cursor=${encodeURIComponent(cursor)}` : ""}`);
export const claimNext = (): Promise<Review> => post("/reviews/claim-next");
export const claim = (id: string): Promise<Review> => post(`/reviews/${id}/claim`);
export const renew = (id: string): Promise<Review> => post(`/reviews/${id}/renew`);
export const release = (id: string): Promise<Review> => post(`/reviews/${id}/release`);
export const review = (id: string): Promise<Answered<Review>> => request("GET", `/reviews/${id}`);
export const recall = (id: string): Promise<Answered<Review>> => request("POST", `/reviews/${id}/recall`);
export const askRefilm = (id: string, reasonCode: string, message: string): Promise<Answered<Review>> =>
  request("POST", `/reviews/${id}/ask-refilm`, { body: { reason_code: reasonCode, message } });

/** The place of a keyframe in a review. */
export interface Place {
  clipId: string;
  swing: number;
  keyframe: string;
}

const placePath = (place: Place): string => `${place.clipId}/${place.swing}/${place.keyframe}`;

export const putMark = (id: string, place: Place, frame: number, etag: string): Promise<Answered<Review>> =>
  request("PUT", `/reviews/${id}/marks/${placePath(place)}`, { body: { frame }, etag });
export const dropMark = (id: string, place: Place, etag: string): Promise<Answered<Review>> =>
  request("DELETE", `/reviews/${id}/marks/${placePath(place)}`, { etag });
export const putPoint = (
  id: string,
  place: Place,
  point: string,
  at: { x: number; y: number },
  etag: string,
): Promise<Answered<Review>> => request("PUT", `/reviews/${id}/points/${placePath(place)}/${point}`, { body: at, etag });
export const dropPoint = (id: string, place: Place, point: string, etag: string): Promise<Answered<Review>> =>
  request("DELETE", `/reviews/${id}/points/${placePath(place)}/${point}`, { etag });
export const patchDraft = (
  id: string,
  draft: { text?: string; drills?: DrillChoice[] },
  etag: string,
): Promise<Answered<Review>> => request("PATCH", `/reviews/${id}/draft`, { body: draft, etag });
export const send = (id: string, etag: string, idempotencyKey: string): Promise<Answered<Review>> =>
  request("POST", `/reviews/${id}/send`, { etag, idempotencyKey });

export const drills = (): Promise<Drill[]> => get("/drills");
export const checkpoints = (): Promise<Checkpoint[]> => get("/checkpoints");
