import { expect, test } from "vitest";
import { readBack, readBackWords } from "./readback";

/** 9 sentences, 9 words of 4 letters each: 4.71 * 4 + 0.5 * 9 - 21.43 = 1.91, which is grade 2, read at seven. */
const PLAIN = Array.from({ length: 9 }, () => "Turn your body then your arms will come with.").join(" ");

test("the index is that of its formula", () => {
  const found = readBack(PLAIN);
  const letters = PLAIN.replaceAll(/[^A-Za-z]/g, "").length;
  const grade = (4.71 * letters) / 81 + 0.5 * 9 - 21.43;
  expect([found.words, found.sentences]).toEqual([81, 9]);
  expect(found.age).toBe(Math.ceil(grade) + 5);
});

test("harder words and longer sentences ask for more years", () => {
  const hard = "Notwithstanding considerable biomechanical justification, rotational acceleration of your proximal segments and the sequencing of it necessitates proportional deceleration of the distal ones that follow in the kinematic chain of your downswing.";
  expect(readBack(hard).age!).toBeGreaterThan(readBack(PLAIN).age!);
  expect(readBack(hard).hints.join(" ")).toMatch(/One sentence has \d+ words/);
});

test("too little, or another language, gets no age and keeps its count", () => {
  expect(readBack("Turn more.").age).toBeNull();
  const german = Array.from({ length: 6 }, () => "Lass die Brust die Arme noch etwas länger tragen, dann erst winkeln die Handgelenke.").join(" ");
  expect(readBack(german)).toMatchObject({ age: null, words: 84, hints: [] });
  expect(readBackWords(readBack("Turn."))).toBe("1 word");
});

test("forbidding is told back once it is much", () => {
  const text = "Don't lift your arms. Never roll the wrists. That is wrong. Do not stop turning with it, and the rest is good for you.";
  expect(readBack(text).hints).toContainEqual(expect.stringMatching(/^[45] times it says what not to do/));
  expect(readBack("Don't lift your arms. Turn your chest, and stop with the lead arm level.").hints).toEqual([]);
});
