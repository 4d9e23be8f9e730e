import { flushSync, mount, tick, unmount } from "svelte";
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import * as calls from "../../api/calls";
import PhrasePicker from "./PhrasePicker.svelte";
import type { At } from "./phrases";

vi.mock("../../api/calls");

const AT = { review: { submission: { student: { name: "Mira", language: "en-GB" }, club: null }, readings: [] }, checkpoints: [], drills: [], library: [] } as unknown as At;
let stop: (() => void) | undefined;

beforeEach(() => {
  vi.resetAllMocks();
  localStorage.clear();
  vi.mocked(calls.phrases).mockResolvedValue([]);
});
afterEach(() => stop?.());

function show(of = "ada"): void {
  const picker = mount(PhrasePicker, { target: document.body, props: { at: AT, draft: "", of, insert: () => undefined, close: () => undefined } });
  flushSync();
  stop = () => {
    void unmount(picker);
    document.body.innerHTML = "";
  };
}

const press = (name: string): void => {
  [...document.querySelectorAll("button")].find((button) => button.textContent?.trim() === name)?.click();
  flushSync();
};
const body = (): HTMLTextAreaElement | null => document.querySelector("textarea");
async function type(id: string, words: string): Promise<void> {
  const field = document.getElementById(id) as HTMLInputElement;
  field.value = words;
  field.dispatchEvent(new Event("input", { bubbles: true }));
  await tick();
}

test("a phrase being written is there again after a reload, for its coach alone, and goes out once", async () => {
  show();
  press("New phrase");
  await type("phrase-name", "Praise");
  await type("phrase-body", "Well held.");
  stop?.();
  show("tom");
  expect(body()).toBeNull();
  stop?.();
  show();
  expect(body()?.value).toBe("Well held.");
  vi.mocked(calls.addPhrase).mockRejectedValueOnce(new Error("No line."));
  press("Keep it");
  await vi.waitFor(() => expect(document.body.textContent).toContain("No line."));
  stop?.();
  show();
  press("Keep it");
  await vi.waitFor(() => expect(body()).toBeNull());
  const [first, second] = vi.mocked(calls.addPhrase).mock.calls;
  expect(second).toEqual([{ name: "Praise", body: "Well held.", shared: false }, first?.[1]]);
  expect(localStorage.length).toBe(0);
});

test("a phrase that is left is let go", async () => {
  show();
  press("New phrase");
  await type("phrase-body", "Never mind.");
  press("Leave it");
  expect([body(), localStorage.length]).toEqual([null, 0]);
});
