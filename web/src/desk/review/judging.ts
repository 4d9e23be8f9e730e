import type { DismissReason, FindingCode, FindingSeen, Judged } from "../../api/types";

/** Findings with what the coach said to them. */

/** A finding of the machine's, or one of the coach's own, as a line of the list. */
export interface FindingLine {
  key: string;
  name: string;
  found: FindingSeen | null;
  judged: Judged | null;
}

export const keyOf = (judged: Pick<Judged, "code" | "name">): string => judged.code ?? `own:${judged.name.toLowerCase()}`;

/** Clear ones first, then those too close to call, then the coach's own: what was judged keeps its place. */
export function linesOf(
  findings: readonly FindingSeen[],
  judgements: readonly Judged[],
  nameOf: (code: FindingCode) => string,
): FindingLine[] {
  const said = new Map(judgements.map((one) => [keyOf(one), one]));
  const machine = [...findings.filter((one) => one.sure), ...findings.filter((one) => !one.sure)].map((found) => ({
    key: found.code as string,
    name: found.name,
    found,
    judged: said.get(found.code) ?? null,
  }));
  const proposed = new Set(machine.map((line) => line.key));
  const own = judgements
    .filter((one) => !proposed.has(keyOf(one)) && one.verdict === "accepted")
    .map((one) => ({ key: keyOf(one), name: one.code === null ? one.name : nameOf(one.code), found: null, judged: one }));
  return [...machine, ...own];
}

/** Too close to call, and nobody has called it. */
export const isOpen = (line: FindingLine): boolean => line.judged === null && line.found !== null && !line.found.sure;

/** Everything said so far with one thing said anew. */
export function said(judgements: readonly Judged[], one: Judged): Judged[] {
  const rest = judgements.filter((other) => keyOf(other) !== keyOf(one));
  return [...rest, one];
}

export const unsaid = (judgements: readonly Judged[], key: string): Judged[] => judgements.filter((one) => keyOf(one) !== key);

export const accepted = (code: FindingCode | null, name = "", words = ""): Judged => ({
  code,
  name,
  verdict: "accepted",
  reason: null,
  words,
});

export const dismissed = (code: FindingCode, reason: DismissReason): Judged => ({
  code,
  name: "",
  verdict: "dismissed",
  reason,
  words: "",
});

/** Codes of the findings that drills should serve: what the coach accepted, else what is clear and not dismissed. */
export function servedBy(lines: readonly FindingLine[]): FindingCode[] {
  const codes = (which: (line: FindingLine) => boolean): FindingCode[] =>
    lines.filter(which).flatMap((line) => line.found?.code ?? line.judged?.code ?? []);
  const agreed = codes((line) => line.judged?.verdict === "accepted");
  return agreed.length > 0 ? agreed : codes((line) => line.judged === null && line.found?.sure === true);
}
