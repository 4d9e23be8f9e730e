/** From what the recorder gave to a take that can be looked at, cut and sent. */

import type { View } from "../../api/types";
import { newKey } from "../../words/keys";
import { cutFilm, readFilm } from "./film";
import { stillsOf } from "./stills";
import type { Take } from "./takes";

/**
 * Recorders write films without a length or an index, in which no player can seek. Copying the pictures into a whole
 * file mends that; where it cannot be done the film is kept as it came.
 */
async function mended(film: File): Promise<File> {
  try {
    const { file } = await cutFilm(film, 0, Infinity);
    return new File([file], film.name, { type: file.type, lastModified: film.lastModified });
  } catch {
    return film;
  }
}

/** A take of a film just made. `found`: codes of what was still wrong when filming began. */
export async function makeTake(film: File, owner: string, view: View, found: string[]): Promise<Take> {
  const file = await mended(film);
  const facts = await readFilm(file).catch(() => null);
  const middle = facts === null ? 0 : facts.seconds / 2;
  const still = (await stillsOf(file, [middle]).next()).value ?? null;
  return {
    id: newKey(),
    owner,
    view,
    file,
    seconds: facts?.seconds ?? 0,
    rate: facts === null || facts.rate === 0 ? null : facts.rate,
    madeMs: film.lastModified,
    still,
    found,
  };
}
