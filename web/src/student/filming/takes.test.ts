import "fake-indexeddb/auto";
import { expect, test } from "vitest";
import { forgetTakes, keepTake, readTakes, type Take } from "./takes";

const take = (id: string, change: Partial<Take> = {}): Take => ({
  id,
  owner: "ana",
  view: "face-on",
  file: new File(["abc"], `${id}.mp4`),
  seconds: 3,
  rate: 60,
  madeMs: 1,
  still: null,
  found: [],
  ...change,
});

test("takes come back newest first, each member's and view's by themselves", async () => {
  for (const each of [
    take("first"),
    take("second", { madeMs: 2 }),
    take("behind", { view: "down-the-line" }),
    take("other", { owner: "bo" }),
  ]) {
    expect(await keepTake(each)).toBe(true);
  }
  const ids = async (owner: string, view: Take["view"]) => (await readTakes(owner, view)).map((one) => one.id);
  expect(await ids("ana", "face-on")).toEqual(["second", "first"]);
  expect(await ids("ana", "down-the-line")).toEqual(["behind"]);
  expect(await ids("bo", "face-on")).toEqual(["other"]);
  await keepTake(take("first", { seconds: 2 }));
  await forgetTakes(["second", "never there"]);
  expect((await readTakes("ana", "face-on")).map((one) => one.seconds)).toEqual([2]);
});

test("where the browser keeps nothing, that is said and nothing breaks", async () => {
  const real = globalThis.indexedDB;
  Object.defineProperty(globalThis, "indexedDB", {
    configurable: true,
    value: {
      open: () => {
        throw new Error("refused");
      },
    },
  });
  expect(await keepTake(take("lost"))).toBe(false);
  expect(await readTakes("ana", "face-on")).toEqual([]);
  Object.defineProperty(globalThis, "indexedDB", { configurable: true, value: real });
});
