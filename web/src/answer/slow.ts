import type { Reading } from "../api/types";

/** Whose seconds they are, where a swing that was sent as a slow one plays slowly. Else "". */
export const slowWords = ({ inputs }: Pick<Reading, "inputs">): string =>
  inputs["plays_slowly"] === 1 ? "The swing was sent as a slow one and plays slowly: these are the film's own seconds." : "";
