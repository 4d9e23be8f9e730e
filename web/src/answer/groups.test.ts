import { expect, test } from "vitest";
import { CHECKPOINTS, type CheckpointId } from "../geometry";
import { groupOf, sortNumbers, type About } from "./groups";

const about = (item: About): About => item;
const measured = (id: string, main = false): About => ({ id, main, measured: true });
const missing = (id: string, main = false): About => ({ id, main, measured: false });

test("every number beside the main ones has its group", () => {
  const others = (Object.keys(CHECKPOINTS) as CheckpointId[]).filter((id) => !CHECKPOINTS[id].main);
  expect(others).toHaveLength(36);
  expect(others.filter((id) => groupOf(id) === "Others")).toEqual([]);
  expect([...new Set(others.map(groupOf))].sort()).toEqual(["Body", "Shaft and hands", "Start", "Time", "Wrists"]);
});

test("main numbers come first, measured or not, and the rest in plain groups", () => {
  const items = [
    measured("tempo_ratio"),
    measured("shaft_pitch"),
    missing("lead_arm_shaft_angle", true),
    measured("chest_turn"),
    missing("head_sway"),
    measured("start_order"),
  ];
  const sorted = sortNumbers(items, about);
  expect(sorted.main.map((one) => one.id)).toEqual(["lead_arm_shaft_angle"]);
  expect(sorted.groups.map((group) => [group.name, group.items.map((one) => one.id)])).toEqual([
    ["Start", ["start_order"]],
    ["Body", ["chest_turn"]],
    ["Shaft and hands", ["shaft_pitch"]],
    ["Time", ["tempo_ratio"]],
  ]);
  expect(sorted.measured).toBe(4);
  expect(sorted.missing.map((one) => one.id)).toEqual(["head_sway"]);
});

test("inside a group the order is always the same, and numbers of two swings keep theirs", () => {
  const items = [measured("pelvis_turn"), measured("chest_turn"), measured("pelvis_turn"), measured("chest_turn_at_parallel")];
  const [group] = sortNumbers(items, about).groups;
  expect(group?.items.map((one) => one.id)).toEqual(["chest_turn_at_parallel", "chest_turn", "pelvis_turn", "pelvis_turn"]);
});

test("a number nobody has a group for is still shown", () => {
  expect(sortNumbers([measured("brand_new")], about).groups).toEqual([{ name: "Others", items: [measured("brand_new")] }]);
});
