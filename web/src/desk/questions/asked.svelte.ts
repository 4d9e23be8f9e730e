import { questions } from "../../api/calls";
import { wordsOf } from "../../api/problem";
import type { Question } from "../../api/types";

/** What students asked back and nobody has replied to. Looked for again now and then: it is no emergency. */
class Asked {
  waiting = $state.raw<Question[] | null>(null);
  trouble = $state("");
  count = $derived(this.waiting?.length ?? 0);

  async load(): Promise<void> {
    try {
      this.waiting = await questions();
      this.trouble = "";
    } catch (error) {
      this.trouble = wordsOf(error);
    }
  }

  replied(id: string): void {
    this.waiting = (this.waiting ?? []).filter((one) => one.id !== id);
  }
}

export const asked = new Asked();
