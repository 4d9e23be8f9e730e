import type { View } from "../../api/types";

/**
 * Films made here and not sent yet, in the browser's database from the moment they are filmed: a reload or an empty
 * battery loses none. Where the browser refuses (private window, no room) they live as long as the page.
 */
const NAME = "fairlead-takes";
const TAKES = "takes";

export interface Take {
  id: string;
  /** The membership that filmed: a shared phone never shows somebody else's. */
  owner: string;
  view: View;
  file: File;
  seconds: number;
  rate: number | null;
  madeMs: number;
  /** A small picture of it, where one could be made. */
  still: Blob | null;
  /** What the check still found wrong when filming began, in the server's codes. */
  found: string[];
}

function open(): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => void asked.result.createObjectStore(TAKES, { keyPath: "id" });
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error ?? new Error("no database"));
    asked.onblocked = () => reject(new Error("the database is held by another page"));
  });
}

async function work<T>(mode: IDBTransactionMode, act: (store: IDBObjectStore) => IDBRequest<T>): Promise<T> {
  const database = await open();
  try {
    return await new Promise<T>((resolve, reject) => {
      const transaction = database.transaction(TAKES, mode);
      const asked = act(transaction.objectStore(TAKES));
      transaction.oncomplete = () => resolve(asked.result);
      transaction.onerror = () => reject(transaction.error ?? new Error("not stored"));
      transaction.onabort = () => reject(transaction.error ?? new Error("not stored"));
    });
  } finally {
    database.close();
  }
}

/** Takes of one member and view, newest first. Empty where the browser keeps nothing. */
export async function readTakes(owner: string, view: View): Promise<Take[]> {
  const all = await work("readonly", (store) => store.getAll() as IDBRequest<Take[]>).catch(() => []);
  const ours = all.filter((take) => take.owner === owner && take.view === view);
  return ours.sort((one, other) => other.madeMs - one.madeMs);
}

/** Keep a take. False where the browser could not: it then lives as long as the page. */
export const keepTake = (take: Take): Promise<boolean> =>
  work("readwrite", (store) => store.put(take)).then(
    () => true,
    () => false,
  );

/** Forget takes: sent, or deleted by the person. */
export async function forgetTakes(ids: readonly string[]): Promise<void> {
  for (const id of ids) await work("readwrite", (store) => store.delete(id)).catch(() => undefined);
}
