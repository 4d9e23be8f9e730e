/** A coach's text as the student reads it: the first paragraph is the one main thing. */
export function leadAndRest(text: string): { lead: string; rest: string } {
  const trimmed = text.trim();
  const end = trimmed.indexOf("\n");
  if (end < 0) return { lead: trimmed, rest: "" };
  return { lead: trimmed.slice(0, end).trim(), rest: trimmed.slice(end).trim() };
}
