/** How high the picture may be for everything that moves it to stay on the screen with it. */

/** Less would not show where a hand is. */
const LEAST_PX = 240;
const UNDER_PX = 12;

/** All in CSS pixels: the window, how far down the page the picture begins, and what stands below it. */
export const pictureHeight = (window: number, top: number, below: number): number => Math.max(LEAST_PX, Math.floor(window - top - below - UNDER_PX));

/**
 * Watches what stands above and below the picture. Heads, notices and notes differ from review to review and come while one is open,
 * so no sum of fixed heights says where the picture begins.
 */
export class Fit {
  /** Null where the style sheet decides: on a phone the picture is scrolled to. */
  height = $state<number | null>(null);

  constructor(
    readonly parts: () => { column: HTMLElement; picture: HTMLElement; below: HTMLElement } | null,
    readonly narrow = "(max-width: 720px)",
  ) {
    $effect(() => {
      const found = this.parts();
      if (found === null) return;
      const look = (): void => this.#look(found);
      const watch = new ResizeObserver(look);
      watch.observe(document.body);
      watch.observe(found.below);
      globalThis.addEventListener("resize", look);
      look();
      return () => {
        watch.disconnect();
        globalThis.removeEventListener("resize", look);
      };
    });
  }

  #look({ column, picture, below }: { column: HTMLElement; picture: HTMLElement; below: HTMLElement }): void {
    if (matchMedia(this.narrow).matches) {
      this.height = null;
      return;
    }
    // The column sticks while the page scrolls; what it lies in does not.
    const page = (column.parentElement ?? column).getBoundingClientRect().top + scrollY;
    const [from, to] = [picture.getBoundingClientRect(), below.getBoundingClientRect()];
    const above = from.top - column.getBoundingClientRect().top;
    this.height = pictureHeight(innerHeight, page + above, to.bottom - from.bottom);
  }
}
