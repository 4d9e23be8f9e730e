import { expect, it } from "vitest";
import { fitInside, toImage, toScreen } from "./screen";
import { imagePoint, screenPoint } from "./units";

it("fits a tall picture into a wide box with bars left and right", () => {
  expect(fitInside(1080, 1920, 800, 480)).toEqual({ scale: 0.25, left: 265, top: 0 });
});

it("fits a wide picture into a tall box with bars above and below", () => {
  expect(fitInside(1920, 1080, 480, 800)).toEqual({ scale: 0.25, left: 0, top: 265 });
});

it("goes to the screen and back to the same spot", () => {
  const fit = fitInside(1080, 1920, 333, 517);
  const [x, y] = toImage(toScreen(imagePoint(412.5, 1300.25), fit), fit);
  expect([x, y]).toEqual([expect.closeTo(412.5, 9), expect.closeTo(1300.25, 9)]);
  expect(toImage(screenPoint(fit.left, fit.top), fit)).toEqual([0, 0]);
});
