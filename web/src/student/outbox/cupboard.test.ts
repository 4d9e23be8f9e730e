import "fake-indexeddb/auto";
import { expect, test, vi } from "vitest";
import { forget, holdOn, readEntries, readFile, writeEntry, writeFile } from "./cupboard";
import { describeFile, fileKey, type Entry } from "./entry";

const entry = (id: string): Entry => ({
  id,
  owner: "m",
  form: null,
  submissionId: null,
  files: [describeFile("face-on", new File(["abc"], "a.mp4"))],
  paused: false,
});

test("an entry and its file come back after the page is gone, and forgetting takes both", async () => {
  const first = entry("one");
  const second = entry("two");
  for (const each of [first, second]) {
    await writeEntry(each);
    await writeFile(fileKey(each, "face-on"), new File(["abc"], "a.mp4"));
  }
  expect((await readEntries()).map((each) => each.id)).toEqual(["one", "two"]);
  await forget(first);
  expect((await readEntries()).map((each) => each.id)).toEqual(["two"]);
  expect(await readFile(fileKey(first, "face-on"))).toBeUndefined();
  expect(await readFile(fileKey(second, "face-on"))).toBeDefined();
});

test("the browser is asked to hold on to it, and one that cannot or will not is no trouble", async () => {
  const persist = vi.fn(() => Promise.reject(new Error("no")));
  for (const storage of [undefined, {}, { persist }]) {
    vi.stubGlobal("navigator", { storage });
    await expect(holdOn()).resolves.toBeUndefined();
  }
  vi.unstubAllGlobals();
  expect(persist).toHaveBeenCalledOnce();
});
