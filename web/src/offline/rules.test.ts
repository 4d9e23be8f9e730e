import { describe, expect, it } from "vitest";
import { areaOf, deedFor, ownerOf, type Asked } from "./rules";

const HERE = "https://fairlead.test";
const asked = (path: string, part: Partial<Asked> = {}): Asked => ({
  method: "GET",
  url: path.startsWith("http") ? path : HERE + path,
  mode: "cors",
  accept: "application/json",
  destination: "",
  ...part,
});

describe("what is kept for when there is no connection", () => {
  it.each([
    ["/student/", { mode: "navigate" }, "page"],
    ["/student", { mode: "navigate" }, "page"],
    ["/guardian/", { mode: "navigate" }, "page"],
    ["/desk/", { mode: "navigate" }, "network"],
    ["/assets/student-abc.js", {}, "file"],
    ["/api/v1/me", {}, "told"],
    ["/api/v1/children", {}, "told"],
    ["/api/v1/submissions", {}, "told"],
    ["/api/v1/submissions?cursor=x", {}, "network"],
    ["/api/v1/submissions/1", {}, "told"],
    ["/api/v1/submissions/1/events", { accept: "text/event-stream" }, "network"],
    ["/api/v1/people/1/practice", {}, "told"],
    ["/api/v1/people/1/bands", {}, "network"],
    ["/api/v1/media/clips/x.png", { destination: "image" }, "told"],
    ["/api/v1/media/clips/x.mp4", { destination: "video" }, "network"],
    ["/api/v1/reviews/1", {}, "network"],
    ["https://elsewhere.test/assets/x.js", {}, "network"],
  ] as const)("%s", (path, part, deed) => {
    expect(deedFor(asked(path, part), HERE)).toBe(deed);
  });

  it("is never what changes something", () => {
    expect(deedFor(asked("/api/v1/submissions", { method: "POST" }), HERE)).toBe("network");
    expect(deedFor(asked("/api/v1/me", { method: "PATCH" }), HERE)).toBe("network");
    expect(deedFor(asked("/student/share", { method: "POST" }), HERE)).toBe("shared");
  });

  it("is for the pages that the worker was registered for", () => {
    expect(areaOf(`${HERE}/student`)).toBe("student");
    expect(areaOf(`${HERE}/guardian`)).toBe("guardian");
  });

  it("belongs to who is signed in", () => {
    expect(ownerOf({ active: { id: "a" } })).toBe("a");
    expect(ownerOf({ active: null })).toBeNull();
    expect(ownerOf("x")).toBeNull();
  });
});
