import { flushSync, mount, unmount } from "svelte";
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { Problem } from "../api/problem";

const sheet = vi.fn<(id: string, number: number) => Promise<{ file: Blob; name: string }>>();
vi.mock("../api/calls", () => ({ sheet: (id: string, number: number) => sheet(id, number) }));

const { default: SheetButton } = await import("./SheetButton.svelte");

let shown: Record<string, unknown>;
const saved: string[] = [];

beforeEach(() => {
  saved.length = 0;
  URL.createObjectURL = vi.fn(() => "blob:one");
  URL.revokeObjectURL = vi.fn();
  vi.spyOn(HTMLAnchorElement.prototype, "click").mockImplementation(function (this: HTMLAnchorElement) {
    saved.push(`${this.href} as ${this.download}`);
  });
  shown = mount(SheetButton, { target: document.body, props: { submissionId: "s", number: 2 } });
  flushSync();
});

afterEach(async () => {
  await unmount(shown);
  vi.restoreAllMocks();
  sheet.mockReset();
});

const press = (): void => document.querySelector("button")?.click();
const status = (): string => document.querySelector("[role=status]")?.textContent ?? "";

test("saves the answer's sheet under the name the server gave it", async () => {
  sheet.mockResolvedValue({ file: new Blob(["%PDF"]), name: "swing-answer-2026-11-30-2.pdf" });
  press();
  flushSync();
  expect(status()).toBe("Making the sheet …");
  press(); // while it is being made, once is enough
  await vi.waitFor(() => expect(saved).toEqual(["blob:one as swing-answer-2026-11-30-2.pdf"]));
  flushSync();
  expect(status()).toBe("");
  expect(sheet.mock.calls).toEqual([["s", 2]]);
});

test("says in words why there is none, and can be pressed again", async () => {
  sheet.mockRejectedValueOnce(new Problem(404, "not_found", "There is no such answer. It may have been called back."));
  press();
  await vi.waitFor(() => {
    flushSync();
    expect(document.body.textContent).toContain("It may have been called back.");
  });
  expect(saved).toEqual([]);
  sheet.mockResolvedValue({ file: new Blob(["%PDF"]), name: "a.pdf" });
  press();
  await vi.waitFor(() => expect(saved).toHaveLength(1));
  flushSync();
  expect(document.body.textContent).not.toContain("called back");
});
