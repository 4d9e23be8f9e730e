import type { Entry } from "./entry";

/**
 * Keeps entries and their files in the browser's database, so that a reload, a closed page or an
 * empty battery loses nothing. Where the browser refuses (private window, no room), files live
 * only as long as the page, and the person is asked to choose them again.
 */
const NAME = "fairlead-outbox";
const ENTRIES = "entries";
const FILES = "files";

function open(): Promise<IDBDatabase> {
  return new Promise((resolve, reject) => {
    const asked = indexedDB.open(NAME, 1);
    asked.onupgradeneeded = () => {
      asked.result.createObjectStore(ENTRIES, { keyPath: "id" });
      asked.result.createObjectStore(FILES);
    };
    asked.onsuccess = () => resolve(asked.result);
    asked.onerror = () => reject(asked.error ?? new Error("no database"));
    asked.onblocked = () => reject(new Error("the database is held by another page"));
  });
}

async function work<T>(
  mode: IDBTransactionMode,
  act: (transaction: IDBTransaction) => IDBRequest<T>,
): Promise<T> {
  const database = await open();
  try {
    return await new Promise<T>((resolve, reject) => {
      const transaction = database.transaction([ENTRIES, FILES], mode);
      const asked = act(transaction);
      transaction.oncomplete = () => resolve(asked.result);
      transaction.onerror = () => reject(transaction.error ?? new Error("not stored"));
      transaction.onabort = () => reject(transaction.error ?? new Error("not stored"));
    });
  } finally {
    database.close();
  }
}

export const readEntries = (): Promise<Entry[]> =>
  work("readonly", (all) => all.objectStore(ENTRIES).getAll() as IDBRequest<Entry[]>);

export const writeEntry = (entry: Entry): Promise<IDBValidKey> =>
  work("readwrite", (all) => all.objectStore(ENTRIES).put(entry));

export const readFile = (key: string): Promise<File | undefined> =>
  work("readonly", (all) => all.objectStore(FILES).get(key) as IDBRequest<File | undefined>);

export const writeFile = (key: string, file: File): Promise<IDBValidKey> =>
  work("readwrite", (all) => all.objectStore(FILES).put(file, key));

/** Forget an entry and its files. */
export const forget = (entry: Entry): Promise<undefined> =>
  work("readwrite", (all) => {
    all.objectStore(FILES).delete(IDBKeyRange.bound(`${entry.id}/`, `${entry.id}/\uffff`));
    return all.objectStore(ENTRIES).delete(entry.id);
  });

/**
 * Ask the browser not to clear what is kept here when the phone runs short of room. Some ask the person, some decide by
 * themselves, and what they say changes nothing here.
 */
export async function holdOn(): Promise<void> {
  const { storage } = navigator as { storage?: Partial<StorageManager> };
  await storage?.persist?.().catch(() => false);
}
