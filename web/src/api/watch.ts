import { submission as fetchSubmission } from "./calls";
import { Problem } from "./problem";
import type { Clip, Submission } from "./types";

/** Follow a submission: the server's events where they come, asking again where they do not. */

interface StateEvent {
  state: string;
  clips: Pick<Clip, "id" | "state" | "progress">[];
}

const ASK_EVERY_MS = 3_000;
const ASK_SELDOM_MS = 30_000;
const MOVING = new Set(["receiving", "analysing"]);

export interface Watcher {
  onChange: (submission: Submission) => void;
  onTrouble: (error: unknown) => void;
}

/** Starts at once; the function returned ends it. */
export function watchSubmission(id: string, watcher: Watcher): () => void {
  let last: Submission | null = null;
  let ended = false;
  let timer: ReturnType<typeof setTimeout> | undefined;
  let events: EventSource | null = null;

  const show = (submission: Submission): void => {
    last = submission;
    if (!ended) watcher.onChange(submission);
  };

  const ask = async (): Promise<void> => {
    clearTimeout(timer);
    try {
      show(await fetchSubmission(id));
    } catch (error) {
      if (!ended) watcher.onTrouble(error);
      if (error instanceof Problem && error.status === 404) return;
    }
    if (ended) return;
    if (events === null) listen();
    timer = setTimeout(() => void ask(), last !== null && MOVING.has(last.state) && !listening() ? ASK_EVERY_MS : ASK_SELDOM_MS);
  };

  const listening = (): boolean => events?.readyState === EventSource.OPEN;

  const listen = (): void => {
    if (last === null || !MOVING.has(last.state)) return;
    events = new EventSource(`/api/v1/submissions/${id}/events`);
    events.addEventListener("state", (event) => hear(JSON.parse(event.data as string) as StateEvent));
    events.onerror = () => {
      // The browser would try again for ever; asking takes over, and starts listening anew.
      events?.close();
      events = null;
      if (ended) return;
      clearTimeout(timer);
      timer = setTimeout(() => void ask(), ASK_EVERY_MS);
    };
  };

  const hear = (heard: StateEvent): void => {
    if (last === null) return;
    const merged = mergeProgress(last, heard);
    if (merged === null) void ask();
    else show(merged);
    if (!MOVING.has(heard.state)) {
      events?.close();
      events = null;
    }
  };

  void ask();
  return () => {
    ended = true;
    clearTimeout(timer);
    events?.close();
  };
}

/** Progress can be shown from the event; null when more changed and the whole must be asked for. */
export function mergeProgress(known: Submission, heard: StateEvent): Submission | null {
  if (heard.state !== known.state || heard.clips.length !== known.clips.length) return null;
  const clips: Clip[] = [];
  for (const clip of known.clips) {
    const news = heard.clips.find((item) => item.id === clip.id);
    if (news === undefined || news.state !== clip.state) return null;
    clips.push({ ...clip, progress: news.progress });
  }
  return { ...known, clips };
}
