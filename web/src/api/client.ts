import createClient from "openapi-fetch";
import { kept } from "./kept.svelte";
import { offlineProblem, problemFrom } from "./problem";
import type { paths } from "./schema";

/** Requests to the API: one place for the CSRF header, problems, and a line that drops. */

const client = createClient<paths>({ credentials: "same-origin", cache: "no-store" });

let csrfToken = "";

export const useCsrfToken = (token: string): void => {
  csrfToken = token;
};

export const csrfHeader = (): Record<string, string> => (csrfToken ? { "X-CSRF-Token": csrfToken } : {});

client.use({
  onRequest({ request }) {
    if (request.method !== "GET") {
      for (const [name, value] of Object.entries(csrfHeader())) request.headers.set(name, value);
    }
    return request;
  },
  onResponse({ response }) {
    kept.heard(response);
  },
});

export interface Answered<T> {
  data: T;
  etag: string | null;
}

/**
 * What a request was answered. Throws `Problem`; status 0 means that no answer came at all.
 * `T` narrows the body where the API's description leaves it open.
 */
export async function answered<T>(
  asked: Promise<{ data?: unknown; error?: unknown; response: Response }>,
): Promise<Answered<T>> {
  const { data, error, response } = await asked.catch(() => {
    throw offlineProblem();
  });
  if (!response.ok) throw problemFrom(response.status, error);
  return { data: data as T, etag: response.headers.get("ETag") };
}

/** The body alone. */
export const body = async <T>(asked: Parameters<typeof answered>[0]): Promise<T> => (await answered<T>(asked)).data;

export { client };
