import { mount, unmount } from "svelte";
import { afterEach, expect, test } from "vitest";
import type { Asked, Checkpoint, DrillProof } from "../api/types";
import LastDrills from "./LastDrills.svelte";

let shown: Record<string, unknown> | undefined;

afterEach(() => {
  if (shown) void unmount(shown);
  document.body.replaceChildren();
});

const pause = { id: "pause_length", unit: "s", name: "Pause", views: ["face-on", "down-the-line"] } as Checkpoint;
const asked: Asked = {
  checkpoint: "pause_length",
  part: "value",
  where: "lead_arm_parallel",
  unit: "s",
  least: 1.6,
  most: null,
  verdict: "met",
  why: "",
  value: 2.4,
  low: 2.3,
  high: 2.5,
  view: "face-on",
  swing: 1,
  swings: 5,
  swings_met: 4,
  swings_unseen: 0,
};

const page = (brief: boolean): string => {
  const drill = { drill_id: "stop-and-look", name: "Stop with the lead arm level", next_clip: "", asked: [asked] };
  const proof: DrillProof = { answered_at: "2026-11-20T10:00:00Z", coach_name: "Ada", drills: [drill] };
  shown = mount(LastDrills, { target: document.body, props: { proof, checkpoints: [pause], clips: 1, zone: "Europe/London", brief } });
  return document.body.textContent;
};

test.each([false, true])("how many swings show it is told beside the verdict (brief: %s)", (brief) => {
  expect(page(brief)).toContain("Swing 2: 4 of 5 swings show it");
});
