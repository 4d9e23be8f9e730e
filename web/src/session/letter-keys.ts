/** Whether single letters are keys of the page: one switch for the whole desk, kept in this browser. */

const KEPT = "fairlead-step-keys";

export const lettersOn = (): boolean => localStorage.getItem(KEPT) !== "off";
export const setLetters = (on: boolean): void => localStorage.setItem(KEPT, on ? "on" : "off");
