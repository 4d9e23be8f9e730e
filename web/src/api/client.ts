import { offlineProblem, problemFrom } from "./problem";

/** Requests to the API: one place for the CSRF header, problems, and a line that drops. */

let csrfToken = "";

export const useCsrfToken = (token: string): void => {
  csrfToken = token;
};

export const csrfHeader = (): Record<string, string> => (csrfToken ? { "X-CSRF-Token": csrfToken } : {});

export interface Options {
  body?: unknown;
  etag?: string;
  idempotencyKey?: string;
  signal?: AbortSignal;
}

export interface Answered<T> {
  data: T;
  etag: string | null;
}

/** Send one request. Throws `Problem`; status 0 means that no answer came at all. */
export async function request<T>(method: string, path: string, options: Options = {}): Promise<Answered<T>> {
  const response = await reach(method, path, options);
  const body: unknown = response.status === 204 ? null : await readBody(response);
  if (!response.ok) throw problemFrom(response.status, body);
  return { data: body as T, etag: response.headers.get("ETag") };
}

async function reach(method: string, path: string, options: Options): Promise<Response> {
  const headers: Record<string, string> = { Accept: "application/json" };
  if (method !== "GET") Object.assign(headers, csrfHeader());
  if (options.body !== undefined) headers["Content-Type"] = "application/json";
  if (options.etag !== undefined) headers["If-Match"] = options.etag;
  if (options.idempotencyKey !== undefined) headers["Idempotency-Key"] = options.idempotencyKey;
  const init: RequestInit = { method, headers, credentials: "same-origin", cache: "no-store" };
  if (options.body !== undefined) init.body = JSON.stringify(options.body);
  if (options.signal !== undefined) init.signal = options.signal;
  try {
    return await fetch(`/api/v1${path}`, init);
  } catch (error) {
    if (error instanceof DOMException && error.name === "AbortError") throw error;
    throw offlineProblem();
  }
}

async function readBody(response: Response): Promise<unknown> {
  try {
    return await response.json();
  } catch {
    return null;
  }
}
