import { flushSync, mount, unmount } from "svelte";
import { afterEach, expect, test, vi } from "vitest";
import NewClip from "./NewClip.svelte";

const added: unknown[] = [];

vi.mock("../api/calls", () => ({ addClub: vi.fn(), clubs: () => Promise.resolve([{ id: "c1", name: "7-iron", length_m: 0.94 }, { id: "c2", name: "Driver", length_m: 1.14 }]) })); // prettier-ignore
vi.mock("../session/whose.svelte", () => ({ whose: { id: "m", studentId: "m", child: null, handed: "right", statureM: null, path: (to: string) => `/${to}` } })); // prettier-ignore
vi.mock("../session/session.svelte", () => ({ session: { zone: "Europe/Dublin", me: { active: { id: "m", academy_name: "Heron" } } } }));
vi.mock("../api/joining", () => ({ joining: () => Promise.reject(new Error("offline")) }));
vi.mock("../offline/register", () => ({ dropShared: vi.fn(), sharedClip: () => Promise.resolve(null) }));
vi.mock("./filming/takes", () => ({ readTakes: () => Promise.resolve([]), forgetTakes: vi.fn() }));
vi.mock("./same", () => ({ sameAs: () => Promise.resolve(null) }));
vi.mock("./outbox/outbox.svelte", () => ({ outbox: { add: (...what: unknown[]) => Promise.resolve(added.push(what)) } }));

let page: Record<string, unknown> | undefined;

async function opened(): Promise<{ note: HTMLTextAreaElement; club: HTMLSelectElement }> {
  if (page) await unmount(page);
  document.body.replaceChildren();
  page = mount(NewClip, { target: document.body });
  const club = document.querySelector<HTMLSelectElement>("#club")!;
  await vi.waitFor(() => expect(club.options.length).toBe(3)); // two, and one of unknown length
  return { note: document.querySelector("textarea")!, club };
}

afterEach(() => {
  if (page) void unmount(page);
  page = undefined;
  sessionStorage.clear();
});

function put(into: HTMLTextAreaElement | HTMLSelectElement, value: string): void {
  into.value = value;
  into.dispatchEvent(new Event(into instanceof HTMLSelectElement ? "change" : "input", { bubbles: true }));
}

test("a form that was begun is found again, and is empty once it was sent", async () => {
  const first = await opened();
  put(first.note, "Is it the wrists?");
  put(first.club, "c2");
  const input = document.querySelector<HTMLInputElement>("input[type=file]")!;
  Object.defineProperty(input, "files", { value: [new File(["swing"], "swing.mp4")] });
  input.dispatchEvent(new Event("change", { bubbles: true }));
  flushSync();

  const again = await opened();
  expect([again.note.value, again.club.value]).toEqual(["Is it the wrists?", "c2"]);
  expect(document.body.textContent).toContain("swing.mp4");

  document.querySelector("form")!.requestSubmit();
  await vi.waitFor(() => expect(added).toHaveLength(1));
  const empty = await opened();
  expect([empty.note.value, empty.club.value]).toEqual(["", "c1"]);
  expect(document.body.textContent).not.toContain("swing.mp4");
});
