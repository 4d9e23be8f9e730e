/** How an answer reads: length, ease and tone, lightly. Hints, never a bar to sending. */

export interface ReadBack {
  words: number;
  sentences: number;
  /** Years of age at which it reads easily; null where too little is written, or it is not in English. */
  age: number | null;
  hints: string[];
}

/** Fewer say nothing about ease: the formula was fitted on texts of hundreds of words. */
const LEAST_FOR_AGE = 25;
const LONG_SENTENCE = 28;
const LONG_ANSWER = 220;
const MUCH_FORBIDDING = 3;
/** Grade 1 is read at six to seven. */
const AGE_OF_GRADE_ONE = 6;
/** What coaches say too often, told back as what not to do (English; other languages are left alone). */
const FORBIDDING = /\b(?:don['’]?t|do not|never|stop (?!with|and|at|for|in)\w+ing|avoid|wrong|bad|mistake|fault)\b/gi;
const ENGLISH = /\b(?:the|and|you|your|is|to|of|it|with|that|in)\b/gi;

/**
 * `language`: the student's, which says where words end. Words, sentences, and the automated readability index: 4.71 letters a word + 0.5 words a sentence − 21.43
 * (Smith and Senter 1967, AMRL-TR-66-220, from memory), a school grade of the United States.
 */
export function readBack(text: string, language?: string): ReadBack {
  const words = segments(text, "word", language);
  const sentences = segments(text, "sentence", language);
  const letters = words.join("").length;
  const english = (text.match(ENGLISH) ?? []).length / Math.max(words.length, 1) > 0.12;
  const perSentence = words.length / Math.max(sentences.length, 1);
  const grade = (4.71 * letters) / Math.max(words.length, 1) + 0.5 * perSentence - 21.43;
  const enough = words.length >= LEAST_FOR_AGE && english;
  return {
    words: words.length,
    sentences: sentences.length,
    age: enough ? Math.max(AGE_OF_GRADE_ONE, Math.ceil(grade) + AGE_OF_GRADE_ONE - 1) : null,
    hints: hintsFor(text, words, sentences, english, language),
  };
}

function hintsFor(text: string, words: string[], sentences: string[], english: boolean, language?: string): string[] {
  const hints: string[] = [];
  const longest = Math.max(0, ...sentences.map((one) => segments(one, "word", language).length));
  if (longest > LONG_SENTENCE) hints.push(`One sentence has ${longest} words: on a phone that is a paragraph.`);
  if (words.length > LONG_ANSWER) hints.push("This is long. One main thing is what stays.");
  const forbidding = english ? (text.match(FORBIDDING) ?? []).length : 0;
  if (forbidding >= MUCH_FORBIDDING) hints.push(`${forbidding} times it says what not to do: say what to do instead.`);
  return hints;
}

function segments(text: string, granularity: "word" | "sentence", language?: string): string[] {
  const cut = [...new Intl.Segmenter(language, { granularity }).segment(text)];
  if (granularity === "word") return cut.filter((one) => one.isWordLike).map((one) => one.segment);
  return cut.map((one) => one.segment.trim()).filter((one) => segments(one, "word", language).length > 0);
}

/** "84 words, reads easily from about 12". */
export function readBackWords({ words, age }: ReadBack): string {
  const count = `${words} ${words === 1 ? "word" : "words"}`;
  return age === null ? count : `${count}, reads easily from about age ${age}`;
}
