/** Small pictures out of a film, for lists and for the strip on which it is cut. */

const STILL_HEIGHT = 120;
/** A browser that does not answer a seek must not hold everything up. */
const SEEK_WITHIN_MS = 3000;

function heard(video: HTMLVideoElement, name: string): Promise<void> {
  return new Promise((resolve, reject) => {
    const timer = setTimeout(() => reject(new Error(`no ${name}`)), SEEK_WITHIN_MS);
    const settle = (act: () => void) => () => {
      clearTimeout(timer);
      act();
    };
    video.addEventListener(name, settle(resolve), { once: true });
    video.addEventListener("error", settle(() => reject(new Error("not played"))), { once: true });
  });
}

/** Stills at times of a film, one after the other, as each is made. Ends early where the browser cannot play it. */
export async function* stillsOf(file: Blob, timesS: readonly number[]): AsyncGenerator<Blob> {
  const address = URL.createObjectURL(file);
  const video = document.createElement("video");
  try {
    video.muted = true;
    video.playsInline = true;
    video.preload = "auto";
    const loaded = heard(video, "loadeddata");
    video.src = address;
    await loaded;
    const canvas = document.createElement("canvas");
    canvas.height = STILL_HEIGHT;
    canvas.width = Math.max(1, Math.round((STILL_HEIGHT * video.videoWidth) / Math.max(1, video.videoHeight)));
    for (const time of timesS) {
      const sought = heard(video, "seeked");
      video.currentTime = time;
      await sought;
      canvas.getContext("2d")?.drawImage(video, 0, 0, canvas.width, canvas.height);
      const still = await new Promise<Blob | null>((made) => canvas.toBlob(made, "image/jpeg", 0.7));
      if (still !== null) yield still;
    }
  } catch {
    return;
  } finally {
    video.removeAttribute("src");
    video.load();
    URL.revokeObjectURL(address);
  }
}
