/** An answer that is not the one asked for, as RFC 9457 sends it, or no answer at all. */
export class Problem extends Error {
  constructor(
    readonly status: number,
    readonly code: string,
    message: string,
    readonly fields: readonly string[] = [],
  ) {
    super(message);
    this.name = "Problem";
  }

  /** The line is down, not the server unwilling: trying again later may help. */
  get offline(): boolean {
    return this.status === 0;
  }
}

export const NO_ANSWER = "There is no connection just now. Nothing is lost; try again in a moment.";

export const offlineProblem = (): Problem => new Problem(0, "no_connection", NO_ANSWER);

/** Read a problem body. A body that is not one (a proxy's page) still gives plain words. */
export function problemFrom(status: number, body: unknown): Problem {
  const record = isRecord(body) ? body : {};
  const code = typeof record["code"] === "string" ? record["code"] : `http_${status}`;
  const words = [record["detail"], record["title"]].find((item) => typeof item === "string" && item);
  return new Problem(status, code, typeof words === "string" ? words : plain(status), fieldWords(record));
}

/** The words to show for anything thrown. Each is said once: a refusal of fields is those fields' own words, joined. */
export function wordsOf(error: unknown): string {
  if (error instanceof Problem) return error.fields.length > 0 && error.code === "invalid" ? error.fields.join(" ") : error.message;
  return error instanceof Error ? error.message : String(error);
}

function plain(status: number): string {
  if (status === 413) return "That is larger than we can take.";
  if (status === 429) return "That was asked too often. Wait a minute, then try again.";
  if (status >= 500) return "Something broke on our side. Nothing you sent is lost; try again in a moment.";
  return "That could not be done.";
}

function fieldWords(record: Record<string, unknown>): string[] {
  const fields = record["fields"];
  if (!Array.isArray(fields)) return [];
  return fields.flatMap((item: unknown) =>
    isRecord(item) && typeof item["message"] === "string" ? [ofField(String(item["where"] ?? ""), item["message"])] : [],
  );
}

/** A check's own sentence as it is; what a validator says of a value goes with the name of its field. */
function ofField(where: string, message: string): string {
  if (!/^(Input|Field|Value|String|List) /.test(message)) return message;
  const name = where.split(".").findLast((part) => !/^\d+$/.test(part)) ?? "";
  const words = message.replace(/^\w+ /, "").replace(/\.$/, "");
  return name === "" ? `${message}.` : `${name.charAt(0).toUpperCase()}${name.slice(1).replaceAll("_", " ")}: ${words}.`;
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === "object" && value !== null && !Array.isArray(value);
}
