/** The phone's camera: opening it, what it really gives, and recording. */

import shared from "../../filming/limits.json";
import { LIMITS } from "./estimates";

/** The server's own sentence. */
const LOW_RATE = shared.words.low_frame_rate;

/** Why there is no camera, in words the student can act on; the picker always remains. */
export class NoCamera extends Error {}

const REFUSED: Record<string, string> = {
  NotAllowedError:
    "The browser may not use the camera. Allow the camera for this page in the browser's settings, or choose a video that you have filmed.",
  NotFoundError: "No camera was found. Choose a video that you have filmed.",
  NotReadableError: "Another app is using the camera. Close it and try again, or choose a video that you have filmed.",
  SecurityError: "This browser allows no camera here. Choose a video that you have filmed.",
};
const OTHERWISE = "The camera could not be started. Try again, or choose a video that you have filmed.";

/** Words for what `getUserMedia` refused. */
export function whyNoCamera(error: unknown): string {
  const name = String((error as { name?: unknown } | null)?.name);
  return REFUSED[name === "AbortError" ? "NotReadableError" : name] ?? OTHERWISE;
}

/** Whether this browser can film inside a page at all: it needs an address that begins with https. */
export const canFilm = (): boolean => "mediaDevices" in navigator && typeof MediaRecorder !== "undefined";

const REAR = { facingMode: { ideal: "environment" } } as const;
const LARGE = { width: { ideal: 1920 }, height: { ideal: 1080 } } as const;
/** Many phones give 60 pictures a second only at this size. */
const SMALLER = { width: { ideal: 1280 }, height: { ideal: 720 } } as const;
const RATE_ASKED = 60;

/** Open the rear camera, without sound: as large as it gives 60 pictures a second, else as it likes. Rejects with `NoCamera`. */
export async function openCamera(): Promise<MediaStream> {
  if (!canFilm()) throw new NoCamera(REFUSED["SecurityError"]);
  let stream: MediaStream;
  try {
    const video = { ...REAR, ...LARGE, frameRate: { ideal: RATE_ASKED } };
    stream = await navigator.mediaDevices.getUserMedia({ video, audio: false });
  } catch (error) {
    throw new NoCamera(whyNoCamera(error));
  }
  const track = trackOf(stream);
  if ((track.getSettings().frameRate ?? RATE_ASKED) < LIMITS.frame_rate_min) {
    await track.applyConstraints({ ...SMALLER, frameRate: { min: RATE_ASKED } }).catch(() => undefined);
  }
  return stream;
}

export function trackOf(stream: MediaStream): MediaStreamTrack {
  const [track] = stream.getVideoTracks();
  if (track === undefined) throw new NoCamera(OTHERWISE);
  return track;
}

export function closeCamera(stream: MediaStream): void {
  for (const track of stream.getTracks()) track.stop();
}

/** How long each picture is exposed, seconds, where the camera tells (in tenths of a millisecond). */
export function exposureOf(track: MediaStreamTrack): number | null {
  const told = (track.getSettings() as { exposureTime?: number }).exposureTime;
  return told === undefined || !(told > 0) ? null : told / 10_000;
}

/** In the order of preference. All are kinds the server reads; H.264 in MP4 opens everywhere. */
export const KINDS = [
  "video/mp4;codecs=avc1.640028",
  "video/mp4;codecs=avc1.42E01E",
  "video/mp4",
  "video/webm;codecs=vp9",
  "video/webm;codecs=vp8",
  "video/webm",
] as const;

/** What to record: the first kind the browser can, "" where it should choose itself. */
export const kindToRecord = (can: (kind: string) => boolean): string => KINDS.find(can) ?? "";

/** Bits per second: a club stays sharp; eight seconds come to twelve megabytes. */
const BITS_PER_S = 12_000_000;
/** A key picture so often, where the browser lets it be chosen: a film can be cut there without re-encoding. */
const KEY_EVERY_MS = 500;

/** One film being recorded. */
export class Recording {
  readonly done: Promise<File>;

  private constructor(private readonly recorder: MediaRecorder) {
    const parts: Blob[] = [];
    recorder.addEventListener("dataavailable", (event) => {
      if (event.data.size > 0) parts.push(event.data);
    });
    this.done = new Promise((tell, fail) => {
      recorder.addEventListener("stop", () => tell(fileOf(parts, recorder.mimeType, new Date())));
      recorder.addEventListener("error", () => fail(new NoCamera("Filming broke off. Try again.")));
    });
  }

  static start(stream: MediaStream): Recording {
    const mimeType = kindToRecord((kind) => MediaRecorder.isTypeSupported(kind));
    const options = { videoBitsPerSecond: BITS_PER_S, videoKeyFrameIntervalDuration: KEY_EVERY_MS };
    const recorder = new MediaRecorder(stream, mimeType === "" ? options : { ...options, mimeType });
    const recording = new Recording(recorder);
    recorder.start();
    return recording;
  }

  stop(): void {
    if (this.recorder.state !== "inactive") this.recorder.stop();
  }
}

/** A film's file, named by when it was made. */
export function fileOf(parts: Blob[], mimeType: string, made: Date): File {
  const type = mimeType.split(";")[0] || "video/mp4";
  const ending = type === "video/mp4" ? "mp4" : "webm";
  const stamp = made.toISOString().slice(0, 19).replace("T", "-").replaceAll(":", "");
  return new File(parts, `swing-${stamp}.${ending}`, { type, lastModified: made.getTime() });
}

/** What to say of a film's rate, pictures a second. */
export function rateWords(rate: number): { enough: boolean; short: string; words: string; inFile: string } {
  const told = Math.round(rate);
  const short = `${told} pictures a second`;
  if (rate >= LIMITS.frame_rate_min) return { enough: true, short, words: short, inFile: `It has ${short}.` };
  return {
    enough: false,
    inFile: LOW_RATE.replace("{rate}", String(told)),
    short: `The camera gives ${short} here; 60 would show more.`,
    words:
      `This phone gave ${told} pictures a second here. Between two of them the club moves far, so positions on the way ` +
      `down are less sure. Its own camera app may film at 60 or more: film there and choose the video here.`,
  };
}
