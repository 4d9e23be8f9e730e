/** How the phone stands, from its own sense of gravity. */

/** `leanDeg`: how far what is seen is turned clockwise from upright or level; `downDeg`: how far the rear lens looks down. */
export interface Tilt {
  leanDeg: number;
  downDeg: number;
}

/** One sigma of a phone's own level, degrees (working value: it is told from three degrees on where two are asked for). */
export const LEAN_SIGMA_DEG = 0.5;
/** One sigma of which way the lens looks against the phone's back (working value). */
export const DOWN_SIGMA_DEG = 1.0;
/** Below this share of gravity along the screen the phone lies flat, and has no lean. */
const FLAT = 0.35;

const rad = (deg: number): number => (deg * Math.PI) / 180;
const deg = (angle: number): number => (angle * 180) / Math.PI;

/**
 * From a `deviceorientation` event's angles, degrees. Null where the phone tells none, or lies flat.
 *
 * Up in the phone's own axes (x right, y up, z out of the screen) is the third row of Rz(alpha) Rx(beta) Ry(gamma);
 * the rear lens looks along -z.
 */
export function tiltOf(beta: number | null, gamma: number | null): Tilt | null {
  if (beta === null || gamma === null) return null;
  const upX = -Math.cos(rad(beta)) * Math.sin(rad(gamma));
  const upY = Math.sin(rad(beta));
  const upZ = Math.cos(rad(beta)) * Math.cos(rad(gamma));
  if (Math.hypot(upX, upY) < FLAT) return null;
  const turned = deg(Math.atan2(upX, upY));
  return { leanDeg: turned - 90 * Math.round(turned / 90), downDeg: deg(Math.asin(Math.max(-1, Math.min(1, upZ)))) };
}

interface AsksFirst {
  requestPermission?: () => Promise<"granted" | "denied">;
}

/** Listen to the phone's level until the returned function is called. To be called from a tap: some phones ask first. */
export async function listenToTilt(tell: (tilt: Tilt | null) => void): Promise<() => void> {
  if (typeof DeviceOrientationEvent === "undefined") return () => undefined;
  const asks = DeviceOrientationEvent as unknown as AsksFirst;
  const allowed = asks.requestPermission ? await asks.requestPermission().catch(() => "denied") : "granted";
  if (allowed !== "granted") return () => undefined;
  const hear = (event: DeviceOrientationEvent): void => tell(tiltOf(event.beta, event.gamma));
  addEventListener("deviceorientation", hear);
  return () => removeEventListener("deviceorientation", hear);
}
