import { together, written } from "../../words/language.svelte";
import type { NewSubmission, View } from "../../api/types";

/** What a student has decided to send and the server does not hold whole yet. Plain data. */
export interface Entry {
  /** Also the Idempotency-Key of the submission, so that asking twice makes one. */
  id: string;
  /** The membership that sends it: a shared phone never sends for somebody else. */
  owner: string;
  /** Null when the submission was there already (a clip filmed again, or sent on another day). */
  form: NewSubmission | null;
  submissionId: string | null;
  files: EntryFile[];
  paused: boolean;
}

export interface EntryFile {
  view: View;
  name: string;
  bytes: number;
  modified: number;
  uploadUrl: string | null;
  /** A take filmed here that stays where takes are kept, since the browser had no room for another copy. */
  takeId?: string;
  sentBytes: number;
  done: boolean;
}

export const fileKey = (entry: Pick<Entry, "id">, view: View): string => `${entry.id}/${view}`;

export function describeFile(view: View, file: File, uploadUrl: string | null = null): EntryFile {
  return {
    view,
    name: file.name,
    bytes: file.size,
    modified: file.lastModified,
    uploadUrl,
    sentBytes: 0,
    done: false,
  };
}

/** Whether a chosen file is the one that was being sent: going on with another would mix two clips. */
export function sameFile(described: EntryFile, file: File): boolean {
  const sameTime = described.modified === 0 || described.modified === file.lastModified;
  return described.bytes === file.size && (described.name === file.name || sameTime);
}

/** Share of all bytes of an entry that have arrived, 0 to 1. */
export function arrivedShare(entry: Entry): number {
  const total = entry.files.reduce((sum, file) => sum + file.bytes, 0);
  const sent = entry.files.reduce((sum, file) => sum + (file.done ? file.bytes : file.sentBytes), 0);
  return total === 0 ? 0 : sent / total;
}

/** "14.8 MB", "320 kB". */
export function bytesWords(bytes: number): string {
  if (bytes < 1_000_000) return `${Math.max(1, Math.round(bytes / 1000))} kB`;
  return `${together(written(bytes / 1_000_000, { digits: 1 }))} MB`;
}
