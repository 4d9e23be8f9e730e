import { expect, test } from "vitest";
import { linesOver } from "./lines";

test("arm and shaft are drawn from their points, and nothing is drawn from points not there", () => {
  expect(linesOver({ lead_shoulder: [1, 2], lead_wrist: [3, 4] })).toEqual([{ kind: "arm", from: [1, 2], to: [3, 4] }]);
  expect(linesOver({ butt: [1, 2] })).toEqual([]);
});

test("the shaft prolonged beyond the grip end meets the ball's row", () => {
  const lines = linesOver({ butt: [420, 600], clubhead: [400, 560], ball: [620, 900] });
  expect(lines.find((line) => line.kind === "prolonged")).toEqual({ kind: "prolonged", from: [420, 600], to: [570, 900] });
  expect(lines.find((line) => line.kind === "ground")).toEqual({ kind: "ground", from: [570, 900], to: [620, 900] });
});

test("a level or rising shaft reaches no ground", () => {
  const kinds = linesOver({ butt: [420, 600], clubhead: [300, 600], ball: [620, 900] }).map((line) => line.kind);
  expect(kinds).toEqual(["shaft"]);
});

test("a bent elbow shows against the straight line, and a trunk from middle to middle", () => {
  const bent = linesOver({ lead_shoulder: [0, 0], lead_elbow: [5, 1], lead_wrist: [10, 0] });
  expect(bent.map((line) => line.kind)).toEqual(["arm", "body", "body"]);
  const trunk = linesOver({ lead_hip: [10, 50], trail_hip: [0, 50], lead_shoulder: [14, 20], trail_shoulder: [4, 20] });
  expect(trunk.at(-1)).toEqual({ kind: "body", from: [5, 50], to: [9, 20] });
});
