export interface Part {
  text: string;
  href: string | null;
}

/** Split a mail's plain text so that its web addresses can be pressed. */
export function linkParts(body: string): Part[] {
  return body
    .split(/(https?:\/\/[^\s<>"]+)/)
    .filter((text) => text !== "")
    .map((text) => ({ text, href: /^https?:\/\//.test(text) ? text : null }));
}
