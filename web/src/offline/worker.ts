/**
 * The service worker of the student's and the guardian's pages: the shell without a connection, the last word of the service with its
 * time, clips that another app shares, and notices. Sending stays the page's own business (the outbox).
 */

import { CHILDREN, mayKeep, narrowed, tidyAfter, type Shelf } from "./children";
import { shownFor } from "./notices";
import { areaOf, deedFor, ownerOf, type Area } from "./rules";

declare const self: ServiceWorkerGlobalScope;
/** Filled in by the build: each area's files, and a hash over them. */
declare const SHELL: Record<Area, { version: string; files: string[] }>;

const AREA = areaOf(self.registration.scope);
const SHELL_CACHE = `shell-${AREA}-${SHELL[AREA].version}`;
const OTHERS_SHELLS = `shell-${AREA === "student" ? "guardian" : "student"}-`;
const FILES = "files";
const TOLD = "told";
const SHARED = "shared";
const PAGE = `/${AREA}/`;
const OWNER = "/owner";
/** One bar of signal: after so long what is kept is shown. */
const PATIENCE_MS = 6000;
const STILLS_MOST = 60;

self.addEventListener("install", (event) => {
  event.waitUntil(
    caches
      .open(SHELL_CACHE)
      .then((cache) => cache.addAll(SHELL[AREA].files))
      .then(() => self.skipWaiting()),
  );
});

self.addEventListener("activate", (event) => {
  event.waitUntil(tidy().then(() => self.clients.claim()));
});

/** The shell before this one stays: a page that is still open may ask for a part of it. */
async function tidy(): Promise<void> {
  const shells = (await caches.keys()).filter(
    (name) => name.startsWith("shell-") && !name.startsWith(OTHERS_SHELLS) && name !== SHELL_CACHE,
  );
  await Promise.all(shells.slice(0, -1).map((name) => caches.delete(name)));
}

self.addEventListener("message", (event) => {
  if (event.data === "forget") event.waitUntil(forget());
});

const forget = async (): Promise<void> => void (await Promise.all([caches.delete(TOLD), caches.delete(SHARED)]));

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const { method, url, mode, destination } = request;
  const accept = request.headers.get("accept") ?? "";
  switch (deedFor({ method, url, mode, accept, destination }, self.location.origin)) {
    case "file":
      return event.respondWith(file(request));
    case "page":
      return event.respondWith(page(request));
    case "told":
      return event.respondWith(told(request, event));
    case "shared":
      return event.respondWith(shared(request));
    case "network":
      return;
  }
});

async function file(request: Request): Promise<Response> {
  const kept = await caches.match(request);
  if (kept) return kept;
  const answer = await fetch(request);
  if (answer.status === 200) await keep(FILES, request, answer.clone());
  return answer;
}

async function page(request: Request): Promise<Response> {
  try {
    return await within(PATIENCE_MS, fetch(request));
  } catch {
    return (await caches.match(PAGE)) ?? Response.error();
  }
}

async function told(request: Request, event: FetchEvent): Promise<Response> {
  const asked = fetch(request).then(async (answer) => {
    await heard(request, answer);
    return answer;
  });
  // What comes too late is still kept for the next time.
  event.waitUntil(asked.catch(() => undefined));
  try {
    return await within(PATIENCE_MS, asked);
  } catch {
    const kept = await (await caches.open(TOLD)).match(request, { ignoreVary: true });
    if (kept) return kept;
    return asked;
  }
}

async function heard(request: Request, answer: Response): Promise<void> {
  const path = new URL(request.url).pathname;
  if (path === "/api/v1/me") {
    if (answer.status === 401) return forget();
    if (answer.ok) await mine(ownerOf(await answer.clone().json()));
  }
  // Gone, or no longer for these eyes: an answer that was called back, a clip withdrawn, a child who is another's now.
  if ([403, 404, 410].includes(answer.status)) return void (await (await caches.open(TOLD)).delete(request, { ignoreVary: true }));
  if (answer.status !== 200) return;
  const said = AREA === "guardian" ? await ofChildren(path, answer) : await answer.clone().blob();
  if (said === null) return;
  const headers = new Headers(answer.headers);
  // The body is unpacked by now.
  headers.delete("content-encoding");
  headers.set("fairlead-kept-at", new Date().toISOString());
  await keep(TOLD, request, new Response(said, { headers }));
  if (path.startsWith("/api/v1/media/")) await letOldStillsGo();
}

/** What a guardian's browser may keep of an answer; null: nothing of it. */
async function ofChildren(path: string, answer: Response): Promise<BodyInit | null> {
  const cache = await caches.open(TOLD);
  if (path === CHILDREN) {
    await tidyAfter(cache satisfies Shelf, mayKeep(await answer.clone().json()));
    return answer.clone().blob();
  }
  const named = mayKeep(await (await cache.match(CHILDREN, { ignoreVary: true }))?.json());
  const isJson = answer.headers.get("content-type")?.includes("json") ?? false;
  const said: unknown = isJson ? await answer.clone().json() : await answer.clone().blob();
  const left = narrowed(path, said, named);
  return left === null || left instanceof Blob ? left : JSON.stringify(left);
}

/** Somebody else signed in: what was kept before is not theirs. */
async function mine(owner: string | null): Promise<void> {
  const cache = await caches.open(TOLD);
  const before = await (await cache.match(OWNER))?.text();
  if (before === owner) return;
  await caches.delete(TOLD);
  if (owner !== null) await (await caches.open(TOLD)).put(OWNER, new Response(owner));
}

async function letOldStillsGo(): Promise<void> {
  const cache = await caches.open(TOLD);
  const stills = (await cache.keys()).filter((one) => new URL(one.url).pathname.startsWith("/api/v1/media/"));
  await Promise.all(stills.slice(0, -STILLS_MOST).map((one) => cache.delete(one)));
}

/** A full disk keeps nothing, and that is no reason to fail. */
async function keep(name: string, request: Request, answer: Response): Promise<void> {
  try {
    await (await caches.open(name)).put(request, answer);
  } catch {
    // Not kept.
  }
}

async function shared(request: Request): Promise<Response> {
  try {
    const clip = (await request.formData()).get("clip");
    if (clip instanceof File) {
      const headers = { "content-type": clip.type || "video/mp4", "fairlead-name": encodeURIComponent(clip.name) };
      await (await caches.open(SHARED)).put("/shared-clip", new Response(clip, { headers }));
      return Response.redirect("/student/#/new", 303);
    }
  } catch {
    // A full disk, or a form that is none: said below.
  }
  return Response.redirect("/student/#/new/not-shared", 303);
}

self.addEventListener("push", (event) => {
  let said: unknown = null;
  try {
    said = event.data?.json();
  } catch {
    // Nothing that we sent: something plain is shown, as browsers ask for every message.
  }
  const { title, body, tag, path } = shownFor(said);
  event.waitUntil(
    self.registration.showNotification(title, { body, tag, icon: "/icon-192.png", badge: "/icon-192.png", data: path }),
  );
});

self.addEventListener("notificationclick", (event) => {
  event.notification.close();
  event.waitUntil(open(String(event.notification.data)));
});

/** A page of ours that is open goes there; else a new one. */
async function open(path: string): Promise<void> {
  const url = new URL(path, self.location.origin);
  const pages = await self.clients.matchAll({ type: "window", includeUncontrolled: true });
  const same = pages.find((page) => new URL(page.url).pathname === url.pathname);
  if (!same) return void (await self.clients.openWindow(url.href));
  await same.focus();
  same.postMessage({ open: url.hash });
}

self.addEventListener("pushsubscriptionchange", (event) => {
  event.waitUntil(subscribeAgain(event as PushSubscriptionChange));
});

interface PushSubscriptionChange extends ExtendableEvent {
  oldSubscription: PushSubscription | null;
  newSubscription: PushSubscription | null;
}

/** A browser may change its address by itself; the service is told while somebody is signed in. */
async function subscribeAgain({ oldSubscription, newSubscription }: PushSubscriptionChange): Promise<void> {
  const options = oldSubscription?.options;
  const now = newSubscription ?? (options ? await self.registration.pushManager.subscribe(options) : null);
  const me = await fetch("/api/v1/me");
  if (!now || !me.ok) return;
  const { csrf_token } = (await me.json()) as { csrf_token: string };
  const { endpoint, keys } = now.toJSON();
  await fetch("/api/v1/push-subscriptions", {
    method: "PUT",
    headers: { "content-type": "application/json", "x-csrf-token": csrf_token },
    body: JSON.stringify({ endpoint, keys }),
  });
}

function within<Value>(ms: number, promise: Promise<Value>): Promise<Value> {
  return new Promise((resolve, reject) => {
    const timer = setTimeout(() => reject(new Error("too slow")), ms);
    promise.then(resolve, reject).finally(() => clearTimeout(timer));
  });
}
