import { answered, body, client, type Answered } from "./client";
import { offlineProblem, problemFrom } from "./problem";
import type {
  Academy,
  Agreement,
  Checkpoint,
  Club,
  Colleague,
  DraftWords,
  Drill,
  FindingCatalogue,
  FilterCounts,
  Invitation,
  KeyframeId,
  LastClip,
  Lessons,
  Me,
  NewPhrase,
  NewQuestion,
  NewSubmission,
  NewTarget,
  Opinion,
  OwnWords,
  OutboxMail,
  PersonRow,
  Phrase,
  PointName,
  Practice,
  Progress,
  Question,
  Queue,
  QueueFilters,
  QueueName,
  QueueView,
  NewFilm,
  Review,
  Role,
  SentBefore,
  Submission,
  Trend,
} from "./types";

/** Every request the pages make, by name. */

export interface PageOf<Item> {
  items: Item[];
  next_cursor: string | null;
}

const after = (cursor: string | undefined): { cursor?: string } => (cursor === undefined ? {} : { cursor });

// People and sign-in

export const me = (): Promise<Me> => body(client.GET("/api/v1/me"));
export const askSignInLink = (email: string): Promise<unknown> =>
  body(client.POST("/api/v1/sign-in-links", { body: { email } }));
export const signIn = (token: string): Promise<Me> => body(client.POST("/api/v1/sessions", { body: { token } }));
export const acceptInvitation = (token: string, name: string): Promise<Me> =>
  body(client.POST("/api/v1/invitation-acceptances", { body: name ? { token, name } : { token } }));
export const signOut = (): Promise<unknown> => body(client.DELETE("/api/v1/sessions/current"));
export const activate = (membership_id: string): Promise<Me> =>
  body(client.PUT("/api/v1/me/active", { body: { membership_id } }));
/** `null`: as the academy writes. */
export const changeLanguage = (language: string | null): Promise<Me> => body(client.PATCH("/api/v1/me", { body: { language } }));
export const outboxMails = (): Promise<OutboxMail[]> => body(client.GET("/api/v1/outbox-mails"));

export const people = (cursor?: string): Promise<PageOf<PersonRow>> =>
  body(client.GET("/api/v1/people", { params: { query: after(cursor) } }));
export const invitations = (): Promise<Invitation[]> => body(client.GET("/api/v1/invitations"));
export const invite = (email: string, name: string, role: Role, language: string | null): Promise<Invitation> =>
  body(client.POST("/api/v1/invitations", { body: { email, name, role, language } }));
export const resendInvitation = (invitation_id: string): Promise<Invitation> =>
  body(client.POST("/api/v1/invitations/{invitation_id}/resend", { params: { path: { invitation_id } } }));
export const revokeInvitation = (invitation_id: string): Promise<unknown> =>
  body(client.DELETE("/api/v1/invitations/{invitation_id}", { params: { path: { invitation_id } } }));
export const deactivate = (membership_id: string): Promise<PersonRow> =>
  body(client.POST("/api/v1/people/{membership_id}/deactivate", { params: { path: { membership_id } } }));
export const reactivate = (membership_id: string): Promise<PersonRow> =>
  body(client.POST("/api/v1/people/{membership_id}/reactivate", { params: { path: { membership_id } } }));

// Clubs, clips

/** `student_id`: a child, where a guardian asks. */
export const clubs = (student_id: string | null = null): Promise<Club[]> =>
  body(client.GET("/api/v1/clubs", { params: { query: student_id ? { student_id } : {} } }));
export const addClub = (name: string, length_m: number, student_id: string | null = null): Promise<Club> =>
  body(client.POST("/api/v1/clubs", { body: { name, length_m, student_id } }));

export const createSubmission = (sent: NewSubmission, idempotencyKey: string): Promise<Submission> =>
  body(
    client.POST("/api/v1/submissions", {
      body: sent,
      params: { header: { "Idempotency-Key": idempotencyKey } },
    }),
  );
export const submissions = (cursor?: string): Promise<PageOf<Submission>> =>
  body(client.GET("/api/v1/submissions", { params: { query: after(cursor) } }));
export const submission = (submission_id: string): Promise<Submission> =>
  body(client.GET("/api/v1/submissions/{submission_id}", { params: { path: { submission_id } } }));
export const withdraw = (submission_id: string): Promise<Submission> =>
  body(client.POST("/api/v1/submissions/{submission_id}/withdraw", { params: { path: { submission_id } } }));

/** An answer's PDF, with the name it is saved under. */
export async function sheet(submission_id: string, number: number): Promise<{ file: Blob; name: string }> {
  const path = { submission_id, number };
  const asked = await client
    .GET("/api/v1/submissions/{submission_id}/answers/{number}/sheet.pdf", { params: { path }, parseAs: "blob" })
    .catch(() => null);
  if (asked === null) throw offlineProblem();
  if (!asked.response.ok) throw problemFrom(asked.response.status, asked.error);
  const named = /filename="([\w.-]+)"/.exec(asked.response.headers.get("Content-Disposition") ?? "");
  return { file: asked.data as Blob, name: named?.[1] ?? "answer.pdf" };
}

// Reviews

/** A queue as it is narrowed. */
export interface QueueAsked {
  state: QueueName;
  filters: QueueFilters;
}

type Narrowed = Partial<Record<"search" | "club", string>> & Partial<Omit<QueueFilters, "search" | "club">>;

/** What narrows nothing is left out; an empty club says that none was named, so it stays. */
const narrowed = (filters: QueueFilters): Narrowed =>
  Object.fromEntries(
    Object.entries(filters).filter(([name, value]) => value !== null && (name === "club" || value !== "")),
  ) as Narrowed;

const of = (review_id: string): { params: { path: { review_id: string } } } => ({ params: { path: { review_id } } });

export const queue = (
  asked: QueueAsked,
  part: { cursor?: string; only?: string[]; limit?: number } = {},
): Promise<Queue> =>
  body(client.GET("/api/v1/reviews", { params: { query: { state: asked.state, ...narrowed(asked.filters), ...part } } }));
export const filterCounts = (asked: QueueAsked): Promise<FilterCounts> =>
  body(client.GET("/api/v1/reviews/filters", { params: { query: { state: asked.state, ...narrowed(asked.filters) } } }));
export const claimNext = (filters: QueueFilters): Promise<Review> =>
  body(client.POST("/api/v1/reviews/claim-next", { params: { query: narrowed(filters) } }));

export const queueViews = (): Promise<QueueView[]> => body(client.GET("/api/v1/queue-views"));
export const keepQueueView = (name: string, asked: QueueAsked, idempotencyKey: string): Promise<QueueView> =>
  body(
    client.POST("/api/v1/queue-views", {
      params: { header: { "Idempotency-Key": idempotencyKey } },
      body: { name, queue: asked.state, filters: asked.filters },
    }),
  );
export const changeQueueView = (view_id: string, sent: { name: string } | QueueAsked): Promise<QueueView> =>
  body(
    client.PATCH("/api/v1/queue-views/{view_id}", {
      params: { path: { view_id } },
      body: "name" in sent ? sent : { queue: sent.state, filters: sent.filters },
    }),
  );
export const dropQueueView = (view_id: string): Promise<unknown> =>
  body(client.DELETE("/api/v1/queue-views/{view_id}", { params: { path: { view_id } } }));

export const claim = (id: string): Promise<Review> => body(client.POST("/api/v1/reviews/{review_id}/claim", of(id)));
export const renew = (id: string): Promise<Review> => body(client.POST("/api/v1/reviews/{review_id}/renew", of(id)));
export const release = (id: string, signal?: AbortSignal): Promise<Review> =>
  body(client.POST("/api/v1/reviews/{review_id}/release", { ...of(id), ...(signal && { signal }) }));
export const review = (id: string): Promise<Answered<Review>> =>
  answered(client.GET("/api/v1/reviews/{review_id}", of(id)));
/** What this coach wrote in a review that was stopped since. */
export const ownWords = (id: string): Promise<OwnWords> => body(client.GET("/api/v1/reviews/{review_id}/own-words", of(id)));
export const lastClips = (id: string): Promise<{ items: LastClip[] }> =>
  body(client.GET("/api/v1/reviews/{review_id}/last-clips", of(id)));
export const recall = (id: string): Promise<Answered<Review>> =>
  answered(client.POST("/api/v1/reviews/{review_id}/recall", of(id)));
export const correct = (id: string): Promise<Answered<Review>> =>
  answered(client.POST("/api/v1/reviews/{review_id}/correct", of(id)));
export const askRefilm = (id: string, film: NewFilm, signal?: AbortSignal): Promise<Answered<Review>> =>
  answered(client.POST("/api/v1/reviews/{review_id}/ask-refilm", { ...of(id), body: film, ...(signal && { signal }) }));

/** The place of a keyframe in a review. */
export interface Place {
  clipId: string;
  swing: number;
  keyframe: string;
}

interface ToPlace {
  path: { review_id: string; clip_id: string; swing: number; keyframe: KeyframeId };
  header: { "If-Match": string };
}

interface ToPoint extends ToPlace {
  path: ToPlace["path"] & { point: PointName };
}

const toPlace = (id: string, place: Place, etag: string): ToPlace => ({
  path: { review_id: id, clip_id: place.clipId, swing: place.swing, keyframe: place.keyframe as KeyframeId },
  header: { "If-Match": etag },
});

const toPoint = (id: string, place: Place, point: string, etag: string): ToPoint => {
  const { path, header } = toPlace(id, place, etag);
  return { path: { ...path, point: point as PointName }, header };
};

const MARK = "/api/v1/reviews/{review_id}/marks/{clip_id}/{swing}/{keyframe}";
const POINT = "/api/v1/reviews/{review_id}/points/{clip_id}/{swing}/{keyframe}/{point}";

export const putMark = (id: string, place: Place, frame: number, etag: string): Promise<Answered<Review>> =>
  answered(client.PUT(MARK, { params: toPlace(id, place, etag), body: { frame } }));
export const dropMark = (id: string, place: Place, etag: string): Promise<Answered<Review>> =>
  answered(client.DELETE(MARK, { params: toPlace(id, place, etag) }));
export const putPoint = (
  id: string,
  place: Place,
  point: string,
  at: { x: number; y: number },
  etag: string,
): Promise<Answered<Review>> => answered(client.PUT(POINT, { params: toPoint(id, place, point, etag), body: at }));
export const dropPoint = (id: string, place: Place, point: string, etag: string): Promise<Answered<Review>> =>
  answered(client.DELETE(POINT, { params: toPoint(id, place, point, etag) }));
export const patchDraft = (
  id: string,
  draft: Partial<DraftWords>,
  etag: string,
): Promise<Answered<Review>> =>
  answered(
    client.PATCH("/api/v1/reviews/{review_id}/draft", {
      params: { path: { review_id: id }, header: { "If-Match": etag } },
      body: draft,
    }),
  );
export const send = (id: string, etag: string, idempotencyKey: string, signal?: AbortSignal): Promise<Answered<Review>> =>
  answered(
    client.POST("/api/v1/reviews/{review_id}/send", {
      params: { path: { review_id: id }, header: { "If-Match": etag, "Idempotency-Key": idempotencyKey } },
      ...(signal && { signal }),
    }),
  );

// Reads beside an answer, and how well coaches agree

export const commit = (id: string, etag: string, idempotencyKey: string, signal?: AbortSignal): Promise<Answered<Review>> =>
  answered(
    client.POST("/api/v1/reviews/{review_id}/commit", {
      params: { path: { review_id: id }, header: { "If-Match": etag, "Idempotency-Key": idempotencyKey } },
      ...(signal && { signal }),
    }),
  );
export const colleagues = (): Promise<Colleague[]> => body(client.GET("/api/v1/colleagues"));
export const opinions = (id: string): Promise<Opinion[]> => body(client.GET("/api/v1/reviews/{review_id}/opinions", of(id)));
export const askOpinion = (id: string, question: NewQuestion, idempotencyKey: string): Promise<Opinion> =>
  body(
    client.POST("/api/v1/reviews/{review_id}/opinions", {
      params: { path: { review_id: id }, header: { "Idempotency-Key": idempotencyKey } },
      body: question,
    }),
  );
export const withdrawQuestion = (review_id: string, opinion_id: string): Promise<unknown> =>
  body(client.DELETE("/api/v1/reviews/{review_id}/opinions/{opinion_id}", { params: { path: { review_id, opinion_id } } }));
export const academy = (): Promise<Academy> => body(client.GET("/api/v1/academy"));
export const setDoubleReadShare = (double_read_share: number): Promise<Academy> =>
  body(client.PATCH("/api/v1/academy", { body: { double_read_share } }));
export const agreement = (): Promise<Agreement> => body(client.GET("/api/v1/agreement"));

// Targets of a student's own, and what corrections teach

const BANDS = "/api/v1/people/{membership_id}/bands";

export const setTarget = (membership_id: string, sent: NewTarget, idempotencyKey: string): Promise<unknown> =>
  body(client.POST(BANDS, { params: { path: { membership_id }, header: { "Idempotency-Key": idempotencyKey } }, body: sent }));
export const dropTarget = (membership_id: string, bands_id: string): Promise<unknown> =>
  body(client.DELETE(`${BANDS}/{bands_id}`, { params: { path: { membership_id, bands_id } } }));
export const lessons = (): Promise<Lessons> => body(client.GET("/api/v1/corrections"));

export const drills = (): Promise<Drill[]> => body(client.GET("/api/v1/drills"));
export const checkpoints = (): Promise<Checkpoint[]> => body(client.GET("/api/v1/checkpoints"));

// What a coach says and says again

export const findingCatalogue = (): Promise<FindingCatalogue> => body(client.GET("/api/v1/findings"));
export const trends = (review_id: string): Promise<Trend[]> =>
  body(client.GET("/api/v1/reviews/{review_id}/trends", of(review_id)));

export const progress = (membership_id: string): Promise<Progress> =>
  body(client.GET("/api/v1/people/{membership_id}/progress", { params: { path: { membership_id } } }));

// One question back about an answer

export const questionAbout = (submission_id: string): Promise<{ question: Question | null }> =>
  body(client.GET("/api/v1/submissions/{submission_id}/question", { params: { path: { submission_id } } }));
export const ask = (submission_id: string, text: string, idempotencyKey: string): Promise<Question> =>
  body(
    client.POST("/api/v1/submissions/{submission_id}/question", {
      params: { path: { submission_id }, header: { "Idempotency-Key": idempotencyKey } },
      body: { text },
    }),
  );
export const questions = (): Promise<Question[]> => body(client.GET("/api/v1/questions"));
export const reply = (question_id: string, text: string, idempotencyKey: string): Promise<Question> =>
  body(
    client.POST("/api/v1/questions/{question_id}/reply", {
      params: { path: { question_id }, header: { "Idempotency-Key": idempotencyKey } },
      body: { text },
    }),
  );

export const sentBefore = (length: number, sha256?: string, student_id: string | null = null): Promise<SentBefore> => {
  const query = { length, ...(sha256 === undefined ? {} : { sha256 }), ...(student_id ? { student_id } : {}) };
  return body(client.GET("/api/v1/clips/sent-before", { params: { query } }));
};
export const practice = (membership_id: string): Promise<Practice> =>
  body(client.GET("/api/v1/people/{membership_id}/practice", { params: { path: { membership_id } } }));
export const tick = (
  path: { membership_id: string; assignment_id: string; day: string },
  told: { sets_done: number; hurt: boolean; note: string },
): Promise<Practice> =>
  body(client.PUT("/api/v1/people/{membership_id}/practice/{assignment_id}/{day}", { params: { path }, body: told }));

export const phrases = (): Promise<Phrase[]> => body(client.GET("/api/v1/phrases"));
export const addPhrase = (phrase: NewPhrase, idempotencyKey: string): Promise<Phrase> =>
  body(client.POST("/api/v1/phrases", { body: phrase, params: { header: { "Idempotency-Key": idempotencyKey } } }));
export const changePhrase = (id: string, phrase: NewPhrase, version: number): Promise<Phrase> =>
  body(
    client.PUT("/api/v1/phrases/{phrase_id}", {
      body: phrase,
      params: { path: { phrase_id: id }, header: { "If-Match": `"${version}"` } },
    }),
  );
export const removePhrase = (id: string): Promise<unknown> =>
  body(client.DELETE("/api/v1/phrases/{phrase_id}", { params: { path: { phrase_id: id } } }));
