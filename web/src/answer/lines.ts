import type { Xy } from "../api/types";

/** The lines drawn over a picture, from the points a reading was computed from. */
export interface Line {
  kind: "arm" | "shaft" | "prolonged" | "ground" | "body";
  from: Xy;
  to: Xy;
}

type Points = Readonly<Record<string, Xy>>;

/** All lines that the points at hand allow. Upright display pixels in, the same out. */
export function linesOver(points: Points, hitRowShift = 0): Line[] {
  const { lead_shoulder: shoulder, lead_wrist: wrist, butt, clubhead, ball } = points;
  const lines: Line[] = [];
  if (shoulder && wrist) lines.push({ kind: "arm", from: shoulder, to: wrist });
  if (butt && clubhead) lines.push({ kind: "shaft", from: butt, to: clubhead });
  lines.push(...bodyLines(points));
  if (butt && clubhead && ball) lines.push(...groundLines(butt, clubhead, ball, hitRowShift));
  return lines;
}

/** Limbs and lines of the body, end to end. */
const BODY: readonly (readonly [string, string])[] = [
  ["lead_shoulder", "lead_elbow"],
  ["lead_elbow", "lead_wrist"],
  ["lead_shoulder", "trail_shoulder"],
  ["lead_hip", "trail_hip"],
  ["trail_hip", "trail_knee"],
  ["trail_knee", "trail_ankle"],
  ["lead_ankle", "trail_ankle"],
  ["lead_ear", "trail_ear"],
];

function bodyLines(points: Points): Line[] {
  const lines = BODY.flatMap(([one, other]): Line[] => {
    const [from, to] = [points[one], points[other]];
    return from && to ? [{ kind: "body", from, to }] : [];
  });
  const [low, high] = [middle(points, "hip"), middle(points, "shoulder")];
  return low && high ? [...lines, { kind: "body", from: low, to: high }] : lines;
}

function middle(points: Points, part: string): Xy | null {
  const [lead, trail] = [points[`lead_${part}`], points[`trail_${part}`]];
  return lead && trail ? [(lead[0] + trail[0]) / 2, (lead[1] + trail[1]) / 2] : null;
}

/** The shaft prolonged beyond the grip end to the ground, and the stretch from there to the ball line. */
function groundLines(butt: Xy, clubhead: Xy, ball: Xy, shift: number): Line[] {
  const row = ball[1] + shift;
  const fall = butt[1] - clubhead[1];
  if (fall <= 0 || butt[1] >= row) return [];
  const hit: Xy = [butt[0] + ((row - butt[1]) * (butt[0] - clubhead[0])) / fall, row];
  return [
    { kind: "prolonged", from: butt, to: hit },
    { kind: "ground", from: hit, to: [ball[0], row] },
  ];
}
