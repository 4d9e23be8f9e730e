/** A coach's points over the machine's. Twin of api/domain/coach_points.py. */

import { CHECKPOINTS, type CheckpointId } from "./checkpoints";
import { sigmaInput } from "./picture-formulas";
import type { Inputs, PointName, Points } from "./units";

/** One sigma of a point a coach places, pixels, each axis. */
export const COACH_POINT_SIGMA_PX = 4;

/**
 * Least sigma of an angle marked by hand, degrees: standard error between people, Guadagnin et
 * al. 2025, Braz. J. Motor Behav. 19(1), abstract.
 */
export const COACH_MARKING_SIGMA_DEG = 2.6;

/** The machine's points and inputs with the coach's points put over them, for `evaluate`. */
export function placePoints(
  checkpoint: CheckpointId,
  points: Points,
  inputs: Inputs,
  placed: Points,
): { readonly points: Points; readonly inputs: Inputs } {
  const needed = CHECKPOINTS[checkpoint].points;
  const moved = needed.filter((name: PointName) => placed[name] !== undefined);
  if (moved.length === 0) return { points, inputs };
  return {
    points: { ...points, ...Object.fromEntries(moved.map((name) => [name, placed[name]])) },
    inputs: {
      ...inputs,
      ...Object.fromEntries(moved.map((name) => [sigmaInput(name), COACH_POINT_SIGMA_PX])),
      sigma_marking: COACH_MARKING_SIGMA_DEG,
      // The machine's own habit of erring no longer applies when no point is its own.
      ...(moved.length === needed.length ? { sigma_residual: 0 } : {}),
    },
  };
}

const UNKNOWN_ANGLE_INPUTS: Inputs = { sigma_instant: 2.4, sigma_view: 3.1, sigma_residual: 0 };

/**
 * Inputs for a coach who places every point where the machine read nothing. Only the lead arm to
 * shaft angle needs nothing but points; the reasons for its numbers are in the Python twin.
 */
export const inputsWithoutMachine = (checkpoint: CheckpointId): Inputs =>
  checkpoint === "lead_arm_shaft_angle" ? UNKNOWN_ANGLE_INPUTS : {};
