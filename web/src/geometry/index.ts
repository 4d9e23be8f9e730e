/** Geometry of a picture, without any page. */

export * from "./angles";
export * from "./bands";
export * from "./checkpoints";
export * from "./coach-points";
export { BUTT_BELOW_GROUND, NO_GROUND_HIT, NO_SCALE, pointWords } from "./formulas";
export * from "./mirror";
export { NO_UNIT, sigmaInput, type Missing, type Terms } from "./picture-formulas";
export * from "./screen";
export * from "./uncertainty";
export * from "./units";
