/** The page's side of the service worker. Without one (an old browser, a private window) everything works online. */

export function register(): void {
  if (!("serviceWorker" in navigator)) return;
  navigator.serviceWorker.register("/offline.js", { scope: "/student", type: "module" }).catch(() => undefined);
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
