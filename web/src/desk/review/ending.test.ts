import { expect, test } from "vitest";
import { endingWords, type EndingKind } from "./ending";

const KINDS: EndingKind[] = ["send", "commit", "release", "refilm"];

test("what was pressed is named, then that it waits, and what becomes of it", () => {
  const now = KINDS.map((kind) => endingWords({ kind, stage: "saving", waits: false }));
  expect(now).toEqual(["Sending …", "Committing …", "Giving it back …", "Asking …"]);
  for (const [index, kind] of KINDS.entries()) {
    const waits = endingWords({ kind, stage: "saving", waits: true });
    expect(waits.startsWith(now[index]!)).toBe(true);
    // While it can still be let be nothing may seem to go out later.
    expect(waits).toContain("does not go out by itself later");
    expect(endingWords({ kind, stage: "out", waits: true })).toBe(`${now[index]} No answer yet.`);
  }
});
