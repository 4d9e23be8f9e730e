/**
 * Units that must not be mixed. Convention of this folder: picture points are upright display
 * pixels of the original clip, x right, y down; angles are degrees; radians never leave a function.
 */

export type ImagePx = number & { readonly __unit: "image px" };
export type ScreenPx = number & { readonly __unit: "screen px" };
export type Degrees = number & { readonly __unit: "degrees" };

export type ImagePoint = readonly [x: ImagePx, y: ImagePx];
export type ScreenPoint = readonly [x: ScreenPx, y: ScreenPx];

export type Hand = "right" | "left";
export type PointName =
  | "lead_shoulder"
  | "lead_elbow"
  | "lead_wrist"
  | "trail_shoulder"
  | "trail_wrist"
  | "lead_ear"
  | "trail_ear"
  | "lead_hip"
  | "trail_hip"
  | "trail_knee"
  | "lead_ankle"
  | "trail_ankle"
  | "trail_toe"
  | "butt"
  | "clubhead"
  | "ball";
export type Points = Readonly<Partial<Record<PointName, ImagePoint>>>;
export type Inputs = Readonly<Record<string, number>>;

export const imagePx = (value: number): ImagePx => value as ImagePx;
export const screenPx = (value: number): ScreenPx => value as ScreenPx;
export const degrees = (value: number): Degrees => value as Degrees;
export const imagePoint = (x: number, y: number): ImagePoint => [imagePx(x), imagePx(y)];
export const screenPoint = (x: number, y: number): ScreenPoint => [screenPx(x), screenPx(y)];

export const toDegrees = (radians: number): Degrees => degrees((radians * 180) / Math.PI);
export const toRadians = (angle: number): number => (angle * Math.PI) / 180;
