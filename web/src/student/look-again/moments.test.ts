import { describe, expect, it } from "vitest";
import type { Picture } from "../../answer/pictures";
import type { Clip } from "../../api/types";
import { momentsOf, pairs, stretchOf } from "./moments";

const clip = (keyframes: Record<string, unknown>): Clip => ({ measurement: { swings: [{ keyframes }] } }) as unknown as Clip;
const picture = (keyframe: string, view = "face-on", offMoment = false): Picture =>
  ({ keyframe, view, offMoment, key: keyframe, url: keyframe }) as unknown as Picture;

describe("moments of a clip", () => {
  const found = momentsOf(clip({ top: { time_s: 1.8 }, takeaway: { time_s: 1 }, impact: { reason: "not seen" }, finish: { time_s: 2.9 } }));

  it("are those that were found, as they come", () => {
    expect(found.map((one) => one.id)).toEqual(["takeaway", "top", "finish"]);
  });

  it("give the stretch to go round in", () => {
    expect(stretchOf(found, 4).from).toBeCloseTo(0.7);
    expect(stretchOf(found, 4).to).toBeCloseTo(3.2);
    expect(stretchOf(found, 3)).toEqual({ from: 0.7, to: 3 });
    expect(stretchOf([], 4)).toEqual({ from: 0, to: 4 });
  });

  it("are none where nothing was measured", () => {
    expect(momentsOf({ measurement: null } as Clip)).toEqual([]);
  });
});

describe("before and after", () => {
  it("pairs the same moment from the same place, in the order of the swing", () => {
    const before = [picture("top"), picture("address"), picture("impact", "down-the-line")];
    const now = [picture("impact"), picture("top"), picture("top"), picture("address"), picture("finish")];
    expect(pairs(before, now, "face-on").map((one) => one.keyframe)).toEqual(["address", "top"]);
  });

  it("leaves out a frame that is no longer the moment", () => {
    expect(pairs([picture("top")], [picture("top", "face-on", true)], "face-on")).toEqual([]);
  });
});
