/** What the service worker does with a request. Plain decisions, so that they can be tried without a browser. */

export type Deed =
  /** Leave it to the network: nothing of it is kept. */
  | "network"
  /** A file whose name holds a hash of its content: whatever is kept is right. */
  | "file"
  /** The page itself: the network's, else the kept one. */
  | "page"
  /** What the service last said: the network's word, else the kept one with its time. */
  | "told"
  /** A clip that another app shares. */
  | "shared";

/** Whose pages a worker serves: each area is a registration of its own, of the same file. */
export type Area = "student" | "guardian";

export const areaOf = (scope: string): Area => (new URL(scope).pathname.startsWith("/guardian") ? "guardian" : "student");

const KEPT_PATHS = [
  /^\/api\/v1\/me$/,
  /^\/api\/v1\/checkpoints$/,
  /^\/api\/v1\/children$/,
  /^\/api\/v1\/clubs$/,
  /^\/api\/v1\/submissions$/,
  /^\/api\/v1\/submissions\/[^/]+$/,
  /^\/api\/v1\/people\/[^/]+\/(practice|progress)$/,
];

export interface Asked {
  method: string;
  url: string;
  mode: string;
  /** The request's Accept header. */
  accept: string;
  destination: string;
}

export function deedFor(asked: Asked, origin: string): Deed {
  const url = new URL(asked.url);
  if (url.origin !== origin) return "network";
  if (asked.method === "POST") return url.pathname === "/student/share" ? "shared" : "network";
  if (asked.method !== "GET") return "network";
  if (asked.mode === "navigate") return /^\/(student|guardian)\/?$/.test(url.pathname) ? "page" : "network";
  if (url.pathname.startsWith("/assets/")) return "file";
  if (asked.accept.includes("text/event-stream")) return "network";
  // A still of an answer; moving pictures are too large to keep, and are asked for in ranges.
  if (url.pathname.startsWith("/api/v1/media/")) return asked.destination === "image" ? "told" : "network";
  // Later pages of a list are not kept: the newest things are what one looks for without a connection.
  return url.search === "" && KEPT_PATHS.some((path) => path.test(url.pathname)) ? "told" : "network";
}

/** Whose words are kept: when somebody else signs in on this phone, what was kept is theirs no longer. */
export function ownerOf(me: unknown): string | null {
  if (typeof me !== "object" || me === null || !("active" in me)) return null;
  const active = (me as { active: unknown }).active;
  return typeof active === "object" && active !== null && "id" in active ? String((active as { id: unknown }).id) : null;
}
