/** Counts the pictures a second that a video really shows: what a camera promises and what it gives differ. */

/** Fewer are no measure. */
const FEWEST = 20;
/** Over this long, seconds. */
const OVER_S = 2;

/** Pictures a second from counts of presented pictures at times; null while there are too few. */
export function rateOf(heard: readonly { pictures: number; atS: number }[]): number | null {
  const last = heard.at(-1);
  if (last === undefined) return null;
  const recent = heard.filter((one) => one.atS >= last.atS - OVER_S);
  const first = recent[0];
  if (first === undefined || last.pictures - first.pictures < FEWEST || last.atS <= first.atS) return null;
  return (last.pictures - first.pictures) / (last.atS - first.atS);
}

/** Tell the rate of a playing video now and then until the returned function is called. */
export function listenToRate(video: HTMLVideoElement, tell: (rate: number) => void): () => void {
  if (!("requestVideoFrameCallback" in video)) return () => undefined;
  const heard: { pictures: number; atS: number }[] = [];
  let handle = 0;
  const hear = (_now: number, picture: VideoFrameCallbackMetadata): void => {
    heard.push({ pictures: picture.presentedFrames, atS: picture.expectedDisplayTime / 1000 });
    if (heard.length > 300) heard.shift();
    const rate = rateOf(heard);
    if (rate !== null) tell(rate);
    handle = video.requestVideoFrameCallback(hear);
  };
  handle = video.requestVideoFrameCallback(hear);
  return () => video.cancelVideoFrameCallback(handle);
}
