import type { Area } from "./rules";

/** The page's side of the service worker. Without one (an old browser, a private window) everything works online. */

export function register(area: Area): void {
  if (!("serviceWorker" in navigator)) return;
  navigator.serviceWorker.register("/offline.js", { ...SCOPE, scope: `/${area}` }).catch(() => undefined);
  heedNotices();
}

/** Notices are one registration's, whosever pages are open. */
const SCOPE: RegistrationOptions = { scope: "/student", type: "module" };

/** A notice that was pressed while this page is open leads to its place here. */
function heedNotices(): void {
  if (!("serviceWorker" in navigator)) return;
  navigator.serviceWorker.addEventListener("message", (event: MessageEvent<{ open?: unknown }>) => {
    const { open } = event.data ?? {};
    if (typeof open === "string" && open.startsWith("#/")) location.hash = open;
  });
  navigator.serviceWorker.startMessages();
}

/** Whether this browser can show notices at all. */
export const canShowNotices = (): boolean =>
  "serviceWorker" in navigator && "PushManager" in globalThis && "Notification" in globalThis;

/** How this browser is subscribed, if it is. */
export async function subscribed(): Promise<PushSubscription | null> {
  if (!canShowNotices()) return null;
  const registration = await navigator.serviceWorker.getRegistration(SCOPE.scope);
  return (await registration?.pushManager.getSubscription()) ?? null;
}

/** Ask the person and subscribe; null when they or the browser said no. `key`: the service's, in base64url. */
export async function subscribe(key: string): Promise<PushSubscription | null> {
  if ((await Notification.requestPermission()) !== "granted") return null;
  const registration = await navigator.serviceWorker.register("/offline.js", SCOPE);
  await active(registration);
  const options = { userVisibleOnly: true, applicationServerKey: key };
  try {
    return await registration.pushManager.subscribe(options);
  } catch (error) {
    // It was subscribed to another key: that of a service from before.
    const old = await registration.pushManager.getSubscription();
    if (!old) throw error;
    await old.unsubscribe();
    return registration.pushManager.subscribe(options);
  }
}

/** Subscribing needs a worker that runs. */
async function active(registration: ServiceWorkerRegistration): Promise<void> {
  const worker = registration.installing ?? registration.waiting;
  if (registration.active || !worker) return;
  await new Promise<void>((resolve) => {
    worker.addEventListener("statechange", () => worker.state === "activated" && resolve());
  });
}

/** After signing out nothing of what was said to this person stays in the browser. */
export async function forget(): Promise<void> {
  if (!("caches" in globalThis)) return;
  await Promise.all([caches.delete("told"), caches.delete("shared")]).catch(() => undefined);
}

/** The clip that another app shared, once. */
export async function sharedClip(): Promise<File | null> {
  if (!("caches" in globalThis)) return null;
  try {
    const cache = await caches.open("shared");
    const kept = await cache.match("/shared-clip");
    if (!kept) return null;
    const name = decodeURIComponent(kept.headers.get("fairlead-name") ?? "clip.mp4");
    return new File([await kept.blob()], name, { type: kept.headers.get("content-type") ?? "video/mp4" });
  } catch {
    return null;
  }
}

/** It is in the outbox now, or was turned away. */
export const dropShared = async (): Promise<void> => void (await caches.delete("shared").catch(() => undefined));
