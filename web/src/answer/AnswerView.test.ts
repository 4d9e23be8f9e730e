import { mount, unmount } from "svelte";
import { afterEach, expect, test } from "vitest";
import type { Answer, Checkpoint, Submission } from "../api/types";
import { useLanguage } from "../words/language.svelte";
import AnswerView from "./AnswerView.svelte";

let shown: Record<string, unknown> | undefined;

afterEach(() => {
  if (shown) void unmount(shown);
  document.body.replaceChildren();
  useLanguage("en-GB");
});

const angle = {
  id: "lead_arm_shaft_angle",
  name: "Lead arm to shaft angle",
  unit: "deg",
  views: ["face-on"],
  main: true,
  meaning: "",
  bands: { watch_low: 70, good_low: 80.5, good_high: 100, watch_high: 112 },
} as unknown as Checkpoint;
const reading = {
  clip_id: "clip", swing: 0, checkpoint: angle.id, value: 87.42, low: 83.3, high: 91.5, band: "good", source: "machine", inputs: {}, points: {},
  own_bands: { watch_low: 70, good_low: 80.5, good_high: 100, watch_high: 112, club: null, reason: "مفاصل قاسية" }, adjusted: null, missing: null,
}; // prettier-ignore
const drill = { drill_id: "d", name: "Stop", purpose: "", steps: [], kit: "", caution: "", next_clip: "", proof: false, note: "ببطء", sets: 3, reps: 8, pause_s: 1.5, days_per_week: 4, until: "2026-12-09", start: null, ball: null };
const answer = {
  text: "أوقف النادي.\nثم تابع.", number: 1, later: ["لاحقا"], what_changed: null, earlier: [], findings: null, sent_at: "2026-11-27T15:00:00Z", coach_name: "رنا",
  recall_until: null, by_eye: [], drawings: [], pictures: [], readings: [reading], drills: [drill], together: null, drill_proof: null,
} as unknown as Answer; // prettier-ignore

function page(language: string, given = answer, known = [angle]): HTMLElement {
  const submission = { student: { id: "s", name: "Mira", language }, clips: [{ id: "clip", view: "face-on" }] } as unknown as Submission;
  shown = mount(AnswerView, { target: document.body, props: { answer: given, submission, checkpoints: known, zone: "Europe/Vienna" } });
  return document.body;
}

const plain = (text: string | null): string => (text ?? "").replace(/[\u2068\u2069]/g, "").replace(/\s+/g, " ");

test.each([
  ["en-GB", "87.4°, give or take 4.1", "80.5 to 100°", "1.5 s pause", "9 December", "Fri 27 Nov"],
  ["de-AT", "87,4°, give or take 4,1", "80,5 to 100°", "1,5 s pause", "9. Dezember", "Fr., 27. Nov."],
  ["ar-EG", "٨٧٫٤°, give or take ٤٫١", "٨٠٫٥ to ١٠٠°", "١٫٥ s pause", "٩ ديسمبر", "٢٧ نوفمبر"],
])("a student who reads %s has every number and date so, whoever looks at it", (language, value, target, pause, until, sent) => {
  useLanguage("fr"); // the coach's: in the preview the student's holds
  const words = plain(page(language).textContent);
  for (const part of [value, target, pause, until, sent]) expect(words).toContain(part);
  expect(words).not.toContain(language === "en-GB" ? "87,4" : "87.4");
});

test("what a person wrote carries the student's language and finds its own direction", () => {
  page("ar-EG");
  const free = [...document.querySelectorAll("[dir=auto]")].map((one) => [one.textContent.trim(), one.getAttribute("lang")]);
  for (const said of ["أوقف النادي.", "ثم تابع.", "لاحقا", "مفاصل قاسية", "ببطء"]) expect(free).toContainEqual([said, "ar-EG"]);
  expect(document.querySelector("bdi")?.textContent).toBe("رنا");
});

test("what the product says by itself claims no other language", () => {
  page("ar-EG");
  for (const heading of document.querySelectorAll("h2, h3, summary")) expect(heading.closest("[lang]")).toBeNull();
});

test("every number's interval is drawn against its target, and what the main ones mean is read without opening anything", () => {
  const tilt = { ...angle, id: "spine_tilt", name: "Forward tilt", main: false, meaning: "How far you lean." } as unknown as Checkpoint;
  const given = { ...answer, readings: [reading, { ...reading, checkpoint: tilt.id }] } as unknown as Answer;
  page("en-GB", given, [{ ...angle, meaning: "An upright L." }, tilt]);
  const drawn = [...document.querySelectorAll("svg[role=img]")].filter((one) => plain(one.getAttribute("aria-label")).includes("95 percent sure between 83.3"));
  expect(drawn).toHaveLength(2);
  const within = (words: string): Element | null | undefined =>
    [...document.querySelectorAll("p")].find((one) => plain(one.textContent).includes(words))?.closest("details");
  expect(within("An upright L.")).toBeNull();
  expect(within("How far you lean.")?.querySelector("svg[role=img]")).not.toBeNull();
});
