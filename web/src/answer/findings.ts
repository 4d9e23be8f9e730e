import type { Band, FindingTold } from "../api/types";

/** How sure a finding is, for the student: who says it, and whether anybody does. */
export function sureness(finding: Pick<FindingTold, "judged" | "sure">): { mark: Band; words: string } {
  if (finding.judged === "accepted") return { mark: "good", words: "Your coach sees it" };
  return finding.sure ? { mark: "watch", words: "Clearly seen" } : { mark: "too_close", words: "Too close to call" };
}
