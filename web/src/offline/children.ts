/**
 * What a guardian's browser may keep of children: only of those that the service named last, whose consent stands and
 * who are not about to be erased. Whatever else is there goes as soon as the service has named them anew.
 */

const OF_PERSON = /^\/api\/v1\/people\/([^/]+)\//;
const SUBMISSIONS = "/api/v1/submissions";
const MEDIA = "/api/v1/media/";
export const CHILDREN = "/api/v1/children";

/** The part of a browser's cache that is needed here, so that it can be tried without one. */
export interface Shelf {
  keys(): Promise<readonly { url: string }[]>;
  match(url: string): Promise<{ json(): Promise<unknown>; headers: Headers } | undefined>;
  put(url: string, answer: Response): Promise<void>;
  delete(url: string): Promise<boolean>;
}

export interface Children {
  ids: ReadonlySet<string>;
  /** Whether nothing of any child must be left out. A still does not say whose it is. */
  all: boolean;
}

const isObject = (value: unknown): value is Record<string, unknown> => typeof value === "object" && value !== null;

/** From what the service says of a guardian's children. */
export function mayKeep(said: unknown): Children {
  const children = (Array.isArray(said) ? said : []).filter(isObject);
  const fine = children.filter((one) => one["consent"] === "valid" && one["being_erased"] === false);
  return { ids: new Set(fine.map((one) => String(one["membership_id"]))), all: fine.length === children.length && fine.length > 0 };
}

const studentOf = (submission: unknown): string | null =>
  isObject(submission) && isObject(submission["student"]) ? String(submission["student"]["id"]) : null;

/**
 * What of an answer may be kept: all of it (`same`), a list with the other children's rows left out, or nothing (`null`).
 * What is about no child, as the names of numbers, is kept as it is.
 */
export function narrowed(path: string, said: unknown, { ids, all }: Children): unknown {
  const person = OF_PERSON.exec(path)?.[1];
  if (person !== undefined) return ids.has(person) ? said : null;
  if (path.startsWith(MEDIA)) return all ? said : null;
  if (path === SUBMISSIONS) {
    const items = isObject(said) && Array.isArray(said["items"]) ? said["items"] : [];
    const left = items.filter((one) => ids.has(studentOf(one) ?? ""));
    return left.length === items.length ? said : { ...(said as object), items: left };
  }
  if (path.startsWith(`${SUBMISSIONS}/`)) return ids.has(studentOf(said) ?? "") ? said : null;
  return said;
}

/** Let go of all that may not be kept any longer; stills of a child who is no longer named go with the rest. */
export async function tidyAfter(shelf: Shelf, now: Children): Promise<void> {
  const keys = (await shelf.keys()).map(({ url }) => ({ url, path: new URL(url).pathname }));
  let gone = !now.all;
  for (const { url, path } of keys.filter((one) => !one.path.startsWith(MEDIA))) {
    const kept = await shelf.match(url);
    if (kept === undefined || !(path.startsWith(SUBMISSIONS) || OF_PERSON.test(path))) continue;
    const said = await kept.json().catch(() => null);
    const left = narrowed(path, said, now);
    if (left === said && left !== null) continue;
    gone = true;
    await shelf.delete(url);
    if (left !== null) await shelf.put(url, new Response(JSON.stringify(left), { headers: kept.headers }));
  }
  if (gone) for (const { url } of keys.filter((one) => one.path.startsWith(MEDIA))) await shelf.delete(url);
}
