import { beforeEach, describe, expect, it } from "vitest";
import { clock, keepRest, left, usualRest } from "./rest";

beforeEach(() => localStorage.clear());

describe("the pause between sets", () => {
  it("ends by the clock, however long the phone slept", () => {
    expect(left(60_000, 0)).toBe(60);
    expect(left(60_000, 59_001)).toBe(1);
    expect(left(60_000, 400_000)).toBe(0);
  });

  it("is as long as last time", () => {
    expect(usualRest()).toBe(60);
    keepRest(90);
    expect(usualRest()).toBe(90);
    localStorage.setItem("fairlead-rest-s", "7000");
    expect(usualRest()).toBe(60);
  });

  it("reads as minutes and seconds", () => {
    expect([clock(65), clock(9), clock(0)]).toEqual(["1:05", "0:09", "0:00"]);
  });
});
