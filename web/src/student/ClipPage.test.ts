import { mount, unmount } from "svelte";
import { afterEach, expect, test, vi } from "vitest";
import type { Submission } from "../api/types";
import ClipPage from "./ClipPage.svelte";

const submission = {
  id: "s", state: "answered", state_reason: "", answer: { coach_name: "Rosa" }, purpose: "full", handed: "right", with_ball: true, note: "",
  club: null, created_at: "2026-11-27T15:00:00Z", due_at: null, clips: [], uploads: [], student: { id: "m", language: "en-GB" },
} as unknown as Submission; // prettier-ignore
let safeguarding: unknown;

vi.mock("../api/calls", () => ({ checkpoints: () => Promise.resolve([]), withdraw: vi.fn() }));
vi.mock("../api/watch", () => ({ watchSubmission: (_id: string, { onChange }: { onChange: (news: Submission) => void }) => (onChange(submission), () => undefined) })); // prettier-ignore
vi.mock("../api/joining", () => ({ joining: () => Promise.resolve({ safeguarding }) }));
vi.mock("../session/session.svelte", () => ({ session: { zone: "Europe/Dublin", me: { active: { id: "m", academy_name: "Heron" } } } }));
vi.mock("../session/whose.svelte", () => ({ whose: { id: "m", child: null, path: (to: string) => `/${to}` } }));
vi.mock("./outbox/outbox.svelte", () => ({ outbox: { of: () => undefined, sent: 0, entries: [] } }));
vi.mock("../answer/AnswerView.svelte", () => ({ default: () => undefined }));
vi.mock("./AskBack.svelte", () => ({ default: () => undefined }));
vi.mock("./look-again/LookAgain.svelte", () => ({ default: () => undefined }));

let page: Record<string, unknown> | undefined;

afterEach(() => {
  if (page) void unmount(page);
  document.body.replaceChildren();
});

test("a child reads whom to turn to where a coach's words are, and an adult does not", async () => {
  safeguarding = { name: "Ina Brandt", contact: "+353 1 555" };
  page = mount(ClipPage, { target: document.body, props: { id: "s" } });
  await vi.waitFor(() => expect(document.body.textContent).toContain("Ina Brandt, +353 1 555"));
  await unmount(page);
  safeguarding = null;
  page = mount(ClipPage, { target: document.body, props: { id: "s" } });
  await new Promise((resolve) => setTimeout(resolve, 20));
  expect(document.querySelector("h1")).not.toBeNull();
  expect(document.body.textContent).not.toContain("worries you");
});
