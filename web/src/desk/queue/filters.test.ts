import { expect, test } from "vitest";
import { brokenWords, filtersSet, filterWords, isNarrowed, NO_FILTERS, sameAsked } from "./filters";

test("a club that was not named narrows, an empty search does not", () => {
  expect(isNarrowed({ ...NO_FILTERS, search: "  " })).toBe(false);
  expect([isNarrowed({ ...NO_FILTERS, club: "" }), filtersSet({ ...NO_FILTERS, club: "" })]).toEqual([true, 1]);
});

test("what it is narrowed to, in words", () => {
  expect(filterWords({ ...NO_FILTERS, reason: "late", club: "", search: " hook " })).toBe("Late, No club named, “hook”");
  expect(brokenWords(["reason", "colour"])).toBe("the reason, “colour”");
});

test("the same but for blanks round the search", () => {
  const asked = { state: "waiting", filters: { ...NO_FILTERS, search: "ana" } } as const;
  expect(sameAsked(asked, { ...asked, filters: { ...asked.filters, search: "ana " } })).toBe(true);
  expect(sameAsked(asked, { ...asked, state: "mine" })).toBe(false);
});
