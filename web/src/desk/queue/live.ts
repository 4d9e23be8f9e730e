/** Hear of changes in the academy's queue; without a stream, look again every so often. */

export const LOOK_AGAIN_MS = 20_000;
const LISTEN_AGAIN_MS = 60_000;
const EVENTS = "/api/v1/reviews/events";

export interface Follower {
  /** Everything may be different: the stream has just begun (again), or there is none. */
  onLook: () => void;
  /** These reviews changed; null: more than can be told. */
  onChange: (ids: string[] | null) => void;
  onLive: (live: boolean) => void;
}

/** Starts at once; the function returned ends it. A hidden page holds no stream. */
export function followQueue(follower: Follower): () => void {
  let events: EventSource | null = null;
  let again: ReturnType<typeof setTimeout> | undefined;
  let live = false;

  const setLive = (now: boolean): void => {
    live = now;
    follower.onLive(now);
  };

  const listen = (): void => {
    clearTimeout(again);
    events?.close();
    if (typeof EventSource === "undefined") return;
    const source = new EventSource(EVENTS);
    events = source;
    source.addEventListener("here", () => {
      setLive(true);
      follower.onLook();
    });
    source.addEventListener("changed", (event) => {
      follower.onChange((JSON.parse(event.data as string) as { ids: string[] | null }).ids);
    });
    source.onerror = () => {
      setLive(false);
      // A stream that ran out is opened anew by the browser; one that was refused never is.
      if (source.readyState === EventSource.CLOSED) again = setTimeout(listen, LISTEN_AGAIN_MS);
    };
  };

  const seen = (): void => {
    if (document.visibilityState === "visible") {
      follower.onLook();
      listen();
    } else {
      clearTimeout(again);
      events?.close();
      setLive(false);
    }
  };

  const timer = setInterval(() => {
    if (!live && document.visibilityState === "visible") follower.onLook();
  }, LOOK_AGAIN_MS);
  document.addEventListener("visibilitychange", seen);
  listen();
  return () => {
    clearInterval(timer);
    clearTimeout(again);
    document.removeEventListener("visibilitychange", seen);
    events?.close();
  };
}
