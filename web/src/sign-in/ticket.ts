/** What a mail link carries after the `#`, which no server or proxy ever sees. */
export interface Ticket {
  kind: "sign-in" | "invitation" | "guardian" | "erase";
  token: string;
}

const OTHERS = ["invitation", "guardian", "erase"] as const;

/** Read `#token=...` (sign-in), `#invitation=...`, `#guardian=...` or `#erase=...`; null when there is none. */
export function readTicket(hash: string): Ticket | null {
  const fields = new URLSearchParams(hash.replace(/^#/, ""));
  for (const kind of OTHERS) {
    const token = fields.get(kind);
    if (token) return { kind, token };
  }
  const token = fields.get("token");
  return token ? { kind: "sign-in", token } : null;
}
