import type { Clip } from "../../api/types";
import type { Tracked } from "./live";

/** What the desk shows of one clip: the video, when each frame begins, pictures and tracks. */
export interface Footage {
  clipId: string;
  proxy: string;
  times: readonly number[];
  /** Pictures by frame, sharper than the paused video. */
  stills: Record<number, string>;
  /** The machine's points by frame. */
  tracks: Record<number, Record<string, Tracked>>;
}

export async function fetchFootage(clip: Clip): Promise<Footage> {
  const { media } = clip;
  if (!media?.proxy || !media.frame_times) {
    throw new Error("There is no viewing copy of this clip: it could not be read.");
  }
  const [times, tracks] = await Promise.all([fetchTimes(media.frame_times), fetchTracks(media.tracks)]);
  return { clipId: clip.id, proxy: media.proxy, times, stills: stillsOf(clip), tracks };
}

async function fetchTimes(url: string): Promise<number[]> {
  const { times_s: times } = (await fetchJson(url)) as { times_s: number[] };
  if (times.length === 0) throw new Error("The clip's list of frames is empty.");
  return times;
}

async function fetchTracks(url: string | null): Promise<Footage["tracks"]> {
  if (url === null) return {};
  return ((await fetchJson(url)) as { frames: Footage["tracks"] }).frames;
}

async function fetchJson(url: string): Promise<unknown> {
  const response = await fetch(url);
  if (!response.ok) throw new Error("The clip could not be loaded. Its link may have run out.");
  return response.json();
}

const stillsOf = (clip: Clip): Record<number, string> => ({ ...(clip.media?.frames ?? {}) });
