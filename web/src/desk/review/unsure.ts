import type { PointName, Xy } from "../../api/types";
import { sigmaInput } from "../../geometry";
import { doubtPx, isUnsure } from "../../geometry/unsure";
import type { Row } from "./rows";
import type { Size } from "./view";

/**
 * The radius of doubt, pixels of the picture, of each point of a number that the machine was unsure of. A point that the coach
 * placed, or is moving, is sure: somebody looked.
 */
export function doubtsOf({ reading, placed, moving }: Pick<Row, "reading" | "placed" | "moving">, points: Readonly<Record<string, Xy>>, picture: Size): Record<string, number> {
  const sure = new Set<string>(placed.map((item) => item.point));
  for (const [name, at] of Object.entries(moving)) {
    if (at === null) sure.delete(name);
    else sure.add(name);
  }
  return Object.fromEntries(
    Object.keys(points).flatMap((name): [string, number][] => {
      const sigma = reading.inputs[sigmaInput(name as PointName)];
      return sigma === undefined || sure.has(name) || !isUnsure(sigma, picture.width, picture.height) ? [] : [[name, doubtPx(sigma)]];
    }),
  );
}
