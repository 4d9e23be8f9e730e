import { me as fetchMe } from "../api/calls";
import { useCsrfToken } from "../api/client";
import { Problem } from "../api/problem";
import type { Me } from "../api/types";
import { useLanguage } from "../words/language.svelte";

/** Who is signed in. `none` is an answer too: nobody. */
export type Standing =
  | { kind: "asking" }
  | { kind: "none" }
  | { kind: "unreachable"; words: string }
  | { kind: "in"; me: Me };

class Session {
  standing = $state<Standing>({ kind: "asking" });

  async load(): Promise<void> {
    try {
      this.enter(await fetchMe());
    } catch (error) {
      if (error instanceof Problem && error.status === 401) this.standing = { kind: "none" };
      else this.standing = { kind: "unreachable", words: error instanceof Error ? error.message : String(error) };
    }
  }

  enter(me: Me): void {
    useCsrfToken(me.csrf_token ?? "");
    useLanguage(me.language ?? me.active.language);
    this.standing = { kind: "in", me };
  }

  /** Look again who is signed in, in the middle of work: `other` is somebody else, who must not go on with it. */
  async again(): Promise<"same" | "other" | "none"> {
    try {
      const me = await fetchMe();
      if (this.standing.kind === "in" && this.standing.me.active.id !== me.active.id) return "other";
      this.enter(me);
      return "same";
    } catch {
      return "none";
    }
  }

  leave(): void {
    useCsrfToken("");
    this.standing = { kind: "none" };
  }

  /** The signed-in person. Only asked for behind the gate. */
  get me(): Me {
    if (this.standing.kind !== "in") throw new Error("nobody is signed in");
    return this.standing.me;
  }

  get zone(): string {
    return this.me.active.time_zone;
  }
}

export const session = new Session();
