import type { CheckpointId } from "../geometry";

/** The plain groups that numbers beside the main ones are shown in, and their order there. */
const GROUPS: readonly { name: string; ids: readonly CheckpointId[] }[] = [
  { name: "Start", ids: ["start_order", "trigger_shift"] },
  { name: "Wrists", ids: ["set_before_trail_leg", "lead_arm_shaft_angle_at_top", "wrist_set_kept"] },
  {
    name: "Body",
    ids: [
      "chest_turn_at_parallel",
      "chest_turn",
      "pelvis_turn_at_parallel",
      "pelvis_turn",
      "pelvis_sway",
      "head_sway",
      "lead_elbow_bend",
      "lead_elbow_bend_at_top",
      "spine_side_tilt_at_address",
      "spine_side_tilt",
      "spine_side_tilt_at_impact",
      "spine_tilt",
      "spine_tilt_change_at_parallel",
      "spine_tilt_change_at_top",
      "spine_tilt_change_at_impact",
      "knee_flex",
      "ball_position",
    ],
  },
  {
    name: "Shaft and hands",
    ids: [
      "shaft_pitch_at_address",
      "shaft_pitch",
      "shaft_pitch_coming_down",
      "shaft_pitch_at_delivery",
      "clubhead_inside_early",
      "hands_over_trail_shoulder",
      "hand_depth",
      "hand_depth_at_top",
      "hands_in_front",
      "path_outside",
      "shaft_at_top",
    ],
  },
  { name: "Time", ids: ["tempo_ratio", "pause_length", "finish_hold"] },
];

/** Where numbers go that no group names yet: a newer server may send some. */
const OTHERS = "Others";

export interface Group<T> {
  name: string;
  items: T[];
}

export interface Sorted<T> {
  /** The numbers to look at first, measured or not. */
  main: T[];
  groups: Group<T>[];
  /** How many numbers the groups hold together. */
  measured: number;
  /** Those that could not be measured, main ones aside. */
  missing: T[];
}

export interface About {
  id: string;
  main: boolean;
  measured: boolean;
}

/** Numbers in the order and the groups that people see them in. `about` says what one is. */
export function sortNumbers<T>(items: readonly T[], about: (item: T) => About): Sorted<T> {
  const told = items.map((item) => ({ item, ...about(item) }));
  const main = told.filter((one) => one.main).map((one) => one.item);
  const others = told.filter((one) => !one.main).sort((one, other) => place(one.id) - place(other.id));
  const shown = others.filter((one) => one.measured);
  const groups = [...GROUPS.map((group) => group.name), OTHERS].flatMap((name): Group<T>[] => {
    const inside = shown.filter((one) => groupOf(one.id) === name).map((one) => one.item);
    return inside.length > 0 ? [{ name, items: inside }] : [];
  });
  return { main, groups, measured: shown.length, missing: others.filter((one) => !one.measured).map((one) => one.item) };
}

/** The name of the group that a number belongs to. */
export const groupOf = (id: string): string =>
  GROUPS.find((group) => (group.ids as readonly string[]).includes(id))?.name ?? OTHERS;

const ORDER: readonly string[] = GROUPS.flatMap((group) => group.ids);
const place = (id: string): number => (ORDER.includes(id) ? ORDER.indexOf(id) : ORDER.length);
