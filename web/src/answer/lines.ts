import type { Xy } from "../api/types";

/** The lines drawn over a picture, from the points a reading was computed from. */
export interface Line {
  kind: "arm" | "shaft" | "prolonged" | "ground";
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
  if (butt && clubhead && ball) lines.push(...groundLines(butt, clubhead, ball, hitRowShift));
  return lines;
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
