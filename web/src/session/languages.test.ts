import { expect, test } from "vitest";
import { languagesToOffer } from "./languages";

test("the chosen one and the browser's own come first, each once, and what is no tag is left out", () => {
  const offered = languagesToOffer(["de-LI", "not a tag", "DE", "en-US-x-mine"], "ar-EG-u-nu-latn");
  expect(offered.slice(0, 3)).toEqual(["ar-EG-u-nu-latn", "de-LI", "de"]);
  expect(new Set(offered).size).toBe(offered.length);
  expect(offered).not.toContain("en-US-x-mine");
});

test("every language that is offered has a name and data in Unicode's own tables", () => {
  const offered = languagesToOffer([], "");
  expect(Intl.getCanonicalLocales([...offered])).toEqual(offered);
  expect(Intl.NumberFormat.supportedLocalesOf([...offered])).toEqual(offered);
});
