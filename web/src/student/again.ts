import type { Submission, UploadRead, View } from "../api/types";

/** A clip the student has to choose, and the upload it goes on with when part of it has arrived. */
export interface Wanted {
  view: View;
  upload: UploadRead | null;
  /** Why the clip of this view that arrived could not be used, in words. */
  refusal: string | null;
}

/** Which clips of a submission have to be sent (again), in its present state. */
export function clipsToSend(submission: Submission): Wanted[] {
  const half = submission.uploads
    .filter((upload) => upload.state === "receiving")
    .map((upload) => ({ view: upload.view, upload, refusal: null }));
  if (half.length > 0) return half;
  const refused = submission.clips
    .filter((clip) => clip.state === "refused")
    .map((clip) => wanted(clip.view, clip.refusal?.message ?? null));
  if (submission.state === "unreadable") return refused;
  if (submission.state === "refilm_asked") {
    return refused.length > 0 ? refused : submission.clips.map((clip) => wanted(clip.view));
  }
  if (submission.state === "receiving" && submission.clips.length === 0) {
    return [wanted("face-on"), wanted("down-the-line")];
  }
  return [];
}

const wanted = (view: View, refusal: string | null = null): Wanted => ({ view, upload: null, refusal });
