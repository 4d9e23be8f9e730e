import { describe, expect, it } from "vitest";
import { shownFor } from "./notices";

const ID = "01a22dcc-7637-7514-9329-947385102586";

describe("what is shown on a locked screen", () => {
  it("opens the clips it is about, and a later one takes its place", () => {
    expect(shownFor({ kind: "answered", about: ID })).toEqual({
      title: "Your coach has answered",
      body: "Open Fairlead to read it.",
      tag: ID,
      path: `/student/#/clips/${ID}`,
    });
    expect(shownFor({ kind: "child_written_to", about: ID }).path).toBe(`/guardian/#/clips/${ID}`);
  });

  it.each([
    null,
    "x",
    {},
    { kind: "weather" },
    { kind: "toString" },
    { kind: "__proto__" },
    { kind: 3, about: 4 },
    { kind: "weather", about: "https://elsewhere.test/", title: "Ana, 12" },
  ])("is plain words whatever came: %j", (said) => {
    const shown = shownFor(said);
    expect(shown.title).toBe("There is something new");
    expect(shown.path).toBe("/student/#/");
  });

  it("names nobody and no number", () => {
    for (const kind of ["answered", "film_again", "replied", "consent_decided", "child_written_to"]) {
      const { title, body } = shownFor({ kind, about: ID });
      expect(title + body).not.toMatch(/\d|"/);
    }
  });
});
