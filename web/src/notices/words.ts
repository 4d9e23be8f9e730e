import type { MailKind } from "../api/notices";

/** What a notice tells, as its reader reads it on a page. */
export const NOTICE_WORDS: Record<MailKind, string> = {
  answered: "A coach has answered, or corrected an answer",
  film_again: "A coach asks for a new film",
  replied: "A coach has replied to my question",
  child_written_to: "A coach wrote to my child",
  consent_decided: "My guardian has decided",
  sign_in: "Links to sign in",
  invitation: "Invitations",
  guardian_asked: "A child asks for my consent",
  erasure: "Erasing my data",
};

const TOKEN = /^\/unsubscribe\/([A-Za-z0-9_-]{1,200})\/?$/;

/** The token in the address that a mail names; null where there is none. */
export const tokenIn = (path: string): string | null => TOKEN.exec(path)?.[1] ?? null;

/** How long a quiet time is, in minutes, by the clock: past midnight where it ends earlier than it begins. */
export function quietMinutes(from: string, to: string): number | null {
  const [begins, ends] = [minutes(from), minutes(to)];
  if (begins === null || ends === null || begins === ends) return null;
  return (ends - begins + 1440) % 1440;
}

function minutes(clock: string): number | null {
  const found = /^(\d\d):(\d\d)$/.exec(clock);
  if (!found) return null;
  const [hour, minute] = [Number(found[1]), Number(found[2])];
  return hour < 24 && minute < 60 ? hour * 60 + minute : null;
}

/** "9 h 30 min". */
export function spanWords(span: number): string {
  const [hours, rest] = [Math.floor(span / 60), span % 60];
  return [hours ? `${hours} h` : "", rest ? `${rest} min` : ""].filter(Boolean).join(" ");
}
