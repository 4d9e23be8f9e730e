import { getContext, setContext } from "svelte";
import { ownLanguage } from "../words/language.svelte";

/** Whose numbers and dates are shown: the student's wherever an answer is, also in the coach's preview of it. */

const KEY = Symbol("the reader's language");

/** All inside this component is written for that reader. */
export const writeFor = (language: () => string): (() => string) => setContext(KEY, language);

/** The language to write in here: the reader's, else that of whoever is signed in. */
export const readerLanguage = (): (() => string) => getContext<(() => string) | undefined>(KEY) ?? ownLanguage;
