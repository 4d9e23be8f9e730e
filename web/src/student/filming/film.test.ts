// @vitest-environment node
import { expect, test } from "vitest";
import neutral from "../../../../tests/clips/face_on_neutral.mp4?inline";
import handsFirst from "../../../../tests/clips/face_on_hands_first.mp4?inline";
import rotated from "../../../../tests/clips/face_on_rotated.mp4?inline";
import { cutFilm, keyBefore, NotCut, readFilm } from "./film";

const CLIPS = { face_on_neutral: neutral, face_on_hands_first: handsFirst, face_on_rotated: rotated };

async function clip(name: keyof typeof CLIPS): Promise<File> {
  const bytes = await (await fetch(CLIPS[name])).arrayBuffer();
  return new File([bytes], `${name}.mp4`, { type: "video/mp4", lastModified: 5 });
}

test.each([
  ["face_on_neutral", 60, 201],
  ["face_on_hands_first", 30, 100],
] as const)("%s has its own rate and pictures", async (name, rate, pictures) => {
  const facts = await readFilm(await clip(name));
  expect(facts.rate).toBeCloseTo(rate, 1);
  expect(facts.pictures).toBe(pictures);
  expect(facts.seconds).toBeCloseTo(pictures / rate, 2);
  expect(facts.keysS[0]).toBe(0);
});

test("a cut begins at a key picture, ends where it was asked to, and says where", async () => {
  const film = await clip("face_on_neutral");
  const whole = await readFilm(film);
  const cut = await cutFilm(film, 0.4, 2.0);
  const part = await readFilm(cut.file);
  expect(cut.fromS).toBeCloseTo(keyBefore(whole.keysS, 0.4), 6);
  expect(cut.toS).toBeGreaterThanOrEqual(2.0 - 1e-6);
  // Pictures decoded out of order may bring a few more along.
  expect(cut.toS).toBeLessThan(2.0 + 6 / 60);
  expect(part.pictures).toBe(Math.round((cut.toS - cut.fromS) * 60));
  expect(part.rate).toBeCloseTo(60, 1);
  expect(cut.file.size).toBeLessThan(film.size);
  expect([cut.file.name, cut.file.type, cut.file.lastModified]).toEqual(["face_on_neutral-cut.mp4", "video/mp4", 5]);
});

test("a film held on its side stays on its side", async () => {
  const cut = await cutFilm(await clip("face_on_rotated"), 0, 1);
  const { Input, BlobSource, MP4 } = await import("mediabunny");
  const turn = async (file: Blob): Promise<number> => {
    const input = new Input({ source: new BlobSource(file), formats: [MP4] });
    return (await (await input.getPrimaryVideoTrack())?.getRotation()) ?? NaN;
  };
  expect(await turn(cut.file)).toBe(await turn(await clip("face_on_rotated")));
});

test("the last key picture not after a time; the first where none is", () => {
  expect(keyBefore([0, 0.5, 1], 0.9)).toBe(0.5);
  expect(keyBefore([0, 0.5, 1], 0.5)).toBe(0.5);
  expect(keyBefore([0.2], 0)).toBe(0.2);
});

test("what is no film is not cut", async () => {
  const text = new File(["not a film at all"], "a.mp4", { type: "video/mp4" });
  await expect(readFilm(text)).rejects.toBeInstanceOf(NotCut);
  await expect(cutFilm(text, 0, 1)).rejects.toBeInstanceOf(NotCut);
});
