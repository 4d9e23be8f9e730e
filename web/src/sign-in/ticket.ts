/** What a mail link carries after the `#`, which no server or proxy ever sees. */
export interface Ticket {
  kind: "sign-in" | "invitation";
  token: string;
}

/** Read `#token=...` (sign-in) or `#invitation=...`; null when there is neither. */
export function readTicket(hash: string): Ticket | null {
  const fields = new URLSearchParams(hash.replace(/^#/, ""));
  const invitation = fields.get("invitation");
  if (invitation) return { kind: "invitation", token: invitation };
  const token = fields.get("token");
  return token ? { kind: "sign-in", token } : null;
}
