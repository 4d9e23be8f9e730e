import { DetailedError, Upload } from "tus-js-client";
import { csrfHeader } from "../../api/client";
import { offlineProblem, problemFrom, type Problem } from "../../api/problem";
import { FIRST_CHUNK_BYTES, nextChunkBytes } from "./chunks";
import type { EntryFile } from "./entry";

export interface Sending {
  /** Resolves when every byte has arrived; rejects with a `Problem`. */
  done: Promise<void>;
  /** Stop sending; what has arrived stays. `done` then never settles. */
  stop: () => void;
}

export interface Hooks {
  onUrl: (url: string) => void;
  onArrived: (bytes: number) => void;
}

/** Send one file, or go on where `file.uploadUrl` stopped. One try: the outbox decides on the next. */
export function sendFile(submissionId: string, file: EntryFile, blob: File, hooks: Hooks): Sending {
  let upload: Upload | null = null;
  const done = new Promise<void>((resolve, reject) => {
    let chunkBegan = performance.now();
    upload = new Upload(blob, {
      endpoint: "/api/v1/uploads",
      uploadUrl: file.uploadUrl,
      chunkSize: FIRST_CHUNK_BYTES,
      retryDelays: null,
      storeFingerprintForResuming: false,
      headers: csrfHeader(),
      metadata: {
        submission_id: submissionId,
        view: file.view,
        filename: file.name,
        filetype: blob.type || "application/octet-stream",
      },
      onUploadUrlAvailable: () => {
        if (upload?.url) {
          // The server names itself by its public address; this page may have come by another one.
          upload.url = new URL(upload.url, location.href).pathname;
          hooks.onUrl(upload.url);
        }
        chunkBegan = performance.now();
      },
      onChunkComplete: (chunkBytes, accepted) => {
        const now = performance.now();
        if (upload) upload.options.chunkSize = nextChunkBytes(chunkBytes, now - chunkBegan);
        chunkBegan = now;
        hooks.onArrived(accepted);
      },
      onError: (error) => reject(asProblem(error)),
      onSuccess: () => resolve(),
    });
    upload.start();
  });
  return { done, stop: () => void upload?.abort() };
}

/** Tell the server that no more will come. An upload left behind expires by itself, so a failure is fine. */
export async function dropUpload(url: string): Promise<void> {
  await Upload.terminate(url, { headers: csrfHeader() }).catch(() => undefined);
}

/** What went wrong, as a `Problem`. No response at all means that the line is down. */
export function asProblem(error: unknown): Problem {
  const response = error instanceof DetailedError ? error.originalResponse : null;
  const status = response?.getStatus() ?? 0;
  if (response === null || status === 0) return offlineProblem();
  return problemFrom(status, parse(response.getBody()));
}

function parse(body: string): unknown {
  try {
    return JSON.parse(body);
  } catch {
    return null;
  }
}
