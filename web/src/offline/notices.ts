/** What a notice says on a screen that may be locked: nobody's name and no number, whatever came. */

export interface Shown {
  title: string;
  body: string;
  /** A later one with the same takes its place. */
  tag: string;
  /** The page to open. */
  path: string;
}

interface Said {
  title: string;
  body: string;
  area: "student" | "guardian";
}

const WORDS: Record<string, Said> = {
  answered: { title: "Your coach has answered", body: "Open Fairlead to read it.", area: "student" },
  film_again: { title: "Please film your swing again", body: "Open Fairlead to see why.", area: "student" },
  replied: { title: "Your coach has replied", body: "Open Fairlead to read it.", area: "student" },
  consent_decided: { title: "Your guardian has decided", body: "Open Fairlead to see how.", area: "student" },
  child_written_to: { title: "A coach wrote to your child", body: "Open Fairlead to read it too.", area: "guardian" },
};
/** A kind of notice that this shell does not know yet: a browser must show something for every message. */
const UNKNOWN: Said = { title: "There is something new", body: "Open Fairlead to see it.", area: "student" };
const ID = /^[0-9a-f-]{36}$/;

/** From what was sent, of which only a known kind and the id of clips are heeded. */
export function shownFor(said: unknown): Shown {
  const { kind, about } = typeof said === "object" && said !== null ? (said as { kind?: unknown; about?: unknown }) : {};
  const words = (typeof kind === "string" && Object.hasOwn(WORDS, kind) ? WORDS[kind] : undefined) ?? UNKNOWN;
  const id = typeof about === "string" && ID.test(about) ? about : "";
  return {
    title: words.title,
    body: words.body,
    tag: id || words.area,
    path: `/${words.area}/#/${id ? `clips/${id}` : ""}`,
  };
}
