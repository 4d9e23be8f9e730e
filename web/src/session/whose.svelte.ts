import type { Child } from "../api/joining";
import type { Hand } from "../api/types";
import { session } from "./session.svelte";

/**
 * Whose clips, practice and questions the pages are about: the signed-in student's own, or those of the child for whom
 * a guardian acts. The student's pages ask here, so that a guardian has the very same ones.
 */
class Whose {
  /** The child, on a guardian's pages. */
  child = $state.raw<Child | null>(null);

  get id(): string {
    return this.child?.membership_id ?? session.me.active.id;
  }

  /** What requests say: nothing for oneself. */
  get studentId(): string | null {
    return this.child?.membership_id ?? null;
  }

  get handed(): Hand {
    return this.child?.handed ?? session.me.handed;
  }

  get statureM(): number | null {
    return this.child ? this.child.stature_m : session.me.stature_m;
  }

  /** The address of one of the student's pages: "" is the first. */
  path(page: string): string {
    const place = this.child ? `/children/${this.child.membership_id}` : "";
    return page ? `${place}/${page}` : place || "/";
  }
}

export const whose = new Whose();
