import { describe, expect, it } from "vitest";
import { quietMinutes, spanWords, tokenIn } from "./words";

describe("quiet hours", () => {
  it.each([
    ["22:00", "07:30", 570],
    ["12:00", "13:00", 60],
    ["00:00", "23:59", 1439],
    ["08:00", "08:00", null],
    ["", "08:00", null],
    ["24:00", "08:00", null],
  ])("from %s to %s", (from, to, span) => expect(quietMinutes(from, to)).toBe(span));

  it("are told in words", () => {
    expect(spanWords(570)).toBe("9 h 30 min");
    expect(spanWords(60)).toBe("1 h");
    expect(spanWords(5)).toBe("5 min");
  });
});

describe("the address that a mail names", () => {
  it.each([
    ["/unsubscribe/aB-_9", "aB-_9"],
    ["/unsubscribe/aB-_9/", "aB-_9"],
    ["/unsubscribe/", null],
    ["/unsubscribe/a/b", null],
    ["/student/", null],
  ])("%s", (path, token) => expect(tokenIn(path)).toBe(token));
});
