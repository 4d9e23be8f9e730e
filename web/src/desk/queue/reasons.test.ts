import { expect, test } from "vitest";
import type { QueueItem } from "../../api/types";
import { clockReason, REASONS, reasonName, reasonsNow } from "./reasons";
import schema from "../../../openapi.json";

const ITEM = {
  due_at: "2026-11-29T20:00:00Z",
  soon_at: "2026-11-29T10:24:00Z",
  half_at: "2026-11-28T20:00:00Z",
  state: "waiting",
  correcting: false,
  kind: "main",
  reasons: [
    { code: "due_half", drills: [], coach: null, lapsed: false },
    { code: "proof", drills: ["Stop with the lead arm level"], coach: null, lapsed: false },
    { code: "draft_left", drills: [], coach: { id: "tom", name: "Tom" }, lapsed: true },
  ],
} as unknown as QueueItem;

const words = (at: string, me = "rosa"): string[] => reasonsNow(ITEM, new Date(at), me).map((one) => one.words);

test("every reason of the API has words and stands where the API has it", () => {
  expect(REASONS).toEqual(schema.components.schemas.Reason.enum);
  expect(new Set(REASONS.map(reasonName)).size).toBe(REASONS.length);
});

test("the clock goes on while the page is open", () => {
  expect(clockReason(ITEM, new Date("2026-11-28T19:59:59Z"))).toBeNull();
  expect(clockReason(ITEM, new Date("2026-11-28T20:00:00Z"))).toBe("due_half");
  expect(clockReason(ITEM, new Date("2026-11-29T10:24:00Z"))).toBe("due_soon");
  expect(clockReason(ITEM, new Date("2026-11-29T20:00:00Z"))).toBe("late");
  expect(clockReason({ ...ITEM, state: "answered" }, new Date("2026-11-30T20:00:00Z"))).toBeNull();
  expect(clockReason({ ...ITEM, state: "claimed", correcting: true }, new Date("2026-11-30T20:00:00Z"))).toBeNull();
});

test("what is read beside an answer is never late", () => {
  for (const kind of ["second", "blind"] as const) expect(clockReason({ ...ITEM, kind }, new Date("2026-11-30T20:00:00Z"))).toBeNull();
});

test("who asks for a second opinion is named", () => {
  const reasons = [{ code: "second_opinion", drills: [], coach: { id: "tom", name: "Tom" }, lapsed: false }];
  const asked = { ...ITEM, kind: "second", reasons } as unknown as QueueItem;
  expect(reasonsNow(asked, new Date("2026-11-30T20:00:00Z"), "rosa").map((one) => one.words)).toEqual(["Tom asks for a second opinion"]);
});

test("it takes the place of what the server's clock said, and the rest is said in full", () => {
  expect(words("2026-11-29T21:00:00Z")).toEqual([
    "Late",
    "Proof of Stop with the lead arm level",
    "Draft begun by Tom, the claim ran out",
  ]);
  expect(words("2026-11-27T21:00:00Z", "tom")[1]).toBe("Draft begun by you, the claim ran out");
});

test("a reason from a newer server is left out rather than shown as a code", () => {
  const newer = { ...ITEM, reasons: [{ code: "of_tomorrow", drills: [], coach: null, lapsed: false }] } as unknown as QueueItem;
  expect(reasonsNow(newer, new Date("2026-11-27T21:00:00Z"), "rosa")).toEqual([]);
});

test("a child's clip says that a guardian reads along", () => {
  const child = { ...ITEM, reasons: [{ code: "child", drills: [], coach: null, lapsed: false }] } as unknown as QueueItem;
  expect(reasonsNow(child, new Date("2026-11-27T21:00:00Z"), "rosa").map((one) => one.words)).toEqual([
    "A child: a guardian reads along",
  ]);
});
