/** Cautions end alike for every drill. Shown once, they are read; shown under each, they are not. */
export interface Cautions {
  /** What each drill adds of its own, in the order given; may be empty. */
  own: string[];
  /** The sentences all of them end with. */
  shared: string;
}

const sentences = (text: string): string[] => text.split(/(?<=[.!?])\s+/).filter(Boolean);

/** Split cautions into what each drill has of its own and the ending all share. One drill shares nothing. */
export function shareCautions(texts: readonly string[]): Cautions {
  const lists = texts.map(sentences);
  if (lists.length < 2) return { own: [...texts], shared: "" };
  const most = Math.min(...lists.map((list) => list.length));
  let alike = 0;
  while (alike < most && new Set(lists.map((list) => list.at(-1 - alike))).size === 1) alike += 1;
  const first = lists[0] ?? [];
  return {
    own: lists.map((list) => list.slice(0, list.length - alike).join(" ")),
    shared: first.slice(first.length - alike).join(" "),
  };
}
