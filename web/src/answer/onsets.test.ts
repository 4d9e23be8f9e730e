import { expect, test } from "vitest";
import { onsetsWords } from "./onsets";

const inputs = {
  from_s: 1.0,
  to_s: 1.2,
  pelvis_s: 1.0,
  sigma_pelvis_s: 0.03,
  chest_s: 1.18,
  sigma_chest_s: 0.03,
  hands_s: 1.2,
  sigma_hands_s: 0.04,
  wrists_s: 1.5,
  sigma_wrists_s: 0.03,
};

test("each is told against the hands, with its doubt", () => {
  expect(onsetsWords({ checkpoint: "start_order", inputs })).toBe(
    "Against the start of the hands: pelvis 0.20 s before (± 0.10), chest together (± 0.10), wrists 0.30 s after (± 0.10).",
  );
});

test("what was not seen is said", () => {
  const { wrists_s: _at, sigma_wrists_s: _sigma, ...rest } = inputs;
  expect(onsetsWords({ checkpoint: "start_order", inputs: rest })).toMatch(/, wrists not seen\.$/);
});

test("other readings, and answers kept from before, say nothing", () => {
  expect(onsetsWords({ checkpoint: "tempo_ratio", inputs })).toBe("");
  expect(onsetsWords({ checkpoint: "start_order", inputs: { from_s: 1.0, to_s: 1.2 } })).toBe("");
});
