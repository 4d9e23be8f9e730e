import { createRawSnippet, flushSync, mount, unmount } from "svelte";
import { afterEach, expect, test, vi } from "vitest";
import Gate from "./Gate.svelte";

const signOut = vi.fn(() => Promise.reject(new Error("no connection")));

vi.mock("../api/calls", () => ({ activate: vi.fn(), signOut: () => signOut() }));
vi.mock("../offline/register", () => ({ forget: vi.fn(), subscribed: () => Promise.resolve(null) }));
vi.mock("./session.svelte", () => ({
  session: { load: vi.fn(), leave: vi.fn(), standing: { kind: "in", me: { active: { role: "student", academy_name: "Heron" }, memberships: [] } } },
}));

let gate: Record<string, unknown> | undefined;

afterEach(() => {
  if (gate) void unmount(gate);
  document.body.replaceChildren();
  signOut.mockClear();
});

function opened(unsent: number): void {
  const children = createRawSnippet(() => ({ render: () => "<p>Inside</p>" }));
  gate = mount(Gate, { target: document.body, props: { area: "", roles: ["student"], unsent: () => unsent, children } });
}

async function press(name: string): Promise<void> {
  [...document.querySelectorAll("button")].find((one) => one.textContent.trim() === name)!.click();
  flushSync();
  await new Promise((resolve) => setTimeout(resolve));
}

test("with a clip that is not sent, signing out asks first", async () => {
  opened(1);
  await press("Sign out");
  expect(signOut).not.toHaveBeenCalled();
  expect(document.body.textContent).toContain("A clip is not sent yet");
  await press("Stay signed in");
  expect(document.body.textContent).not.toContain("A clip is not sent yet");
  await press("Sign out");
  await press("Sign out all the same");
  expect(signOut).toHaveBeenCalledOnce();
});

test("with nothing left to send it is one press", async () => {
  opened(0);
  await press("Sign out");
  expect(signOut).toHaveBeenCalledOnce();
});
