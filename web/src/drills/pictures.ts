import words from "./pictures.json";

export interface DrillPicture {
  url: string;
  /** What to look at. */
  caption: string;
  /** What is drawn, for those who do not see it. */
  alt: string;
}

/** Addresses by file name: the build gives each its own. */
const URLS = import.meta.glob<string>("./*.svg", { eager: true, query: "?url", import: "default" });
const WORDS: Readonly<Record<string, readonly { file: string; caption: string; alt: string }[]>> = words;

/** A drill's pictures in the order of its steps; none for one that was never drawn. */
export function picturesOf(drillId: string): DrillPicture[] {
  return (WORDS[drillId] ?? []).flatMap(({ file, caption, alt }) => {
    const url = URLS[`./${file}`];
    return url === undefined ? [] : [{ url, caption, alt }];
  });
}
