import { around, SPEEDS, type Loop } from "../frames/loop";
import type { FramePlayer } from "../frames/player";
import type { KeyframeNow } from "./keyframes";

/** The clip in hand, as far as running it goes. */
export interface Film {
  player: FramePlayer | null;
  keyframes: readonly KeyframeNow[];
  frame: number;
  frames: number;
}

/** Stepping, running and going round. */
export class Reel {
  running = $state(false);
  looped = $state.raw<Loop | null>(null);
  /** Of life. */
  speed = $state(0.25);
  /** How many times slower than life the file plays. */
  slowed = $state(1);
  /** Instants that the loop goes between. */
  from = $state("takeaway");
  to = $state("top");
  back = $state(false);

  readonly rate = $derived(this.speed * this.slowed);

  constructor(readonly film: () => Film) {
    // A swing without takeaway or top goes round between the instants that it has.
    $effect(() => {
      const found = this.#found().map((item) => item.id);
      const [first, last] = [found[0], found.at(-1)];
      if (first === undefined || last === undefined || first === last) return;
      if (!found.includes(this.from)) this.from = first === this.to ? last : first;
      if (!found.includes(this.to)) this.to = last === this.from ? first : last;
    });
    // Whatever runs takes up a new speed at once, and a loop a new way.
    $effect(() => {
      const { player } = this.film();
      player?.pace(this.rate);
      const wanted = { rate: this.rate, there_and_back: this.back };
      const { looped } = this;
      if (looped === null || (looped.rate === wanted.rate && looped.there_and_back === wanted.there_and_back)) return;
      this.looped = { ...looped, ...wanted };
      void player?.loop(this.looped);
    });
  }

  #found(): KeyframeNow[] {
    return this.film().keyframes.filter((item) => item.frame !== null);
  }

  readonly ends = $derived.by((): Pick<Loop, "from" | "to"> | null => {
    const at = (id: string): number | null => this.film().keyframes.find((item) => item.id === id)?.frame ?? null;
    const [one, other] = [at(this.from), at(this.to)];
    return one === null || other === null || one === other ? null : { from: Math.min(one, other), to: Math.max(one, other) };
  });

  step = (by: number): void => {
    const { player } = this.film();
    void player?.show(player.aim + by);
  };

  run = async (): Promise<void> => {
    const { player } = this.film();
    if (player === null) return;
    if (this.running) await player.stop();
    else await player.play(this.rate).catch(() => undefined);
  };

  #goRound(ends: Pick<Loop, "from" | "to"> | null): void {
    const { player } = this.film();
    if (player === null || ends === null) return;
    this.looped = { ...ends, rate: this.rate, there_and_back: this.back };
    void player.loop(this.looped);
  }

  loop = (): void => {
    if (this.looped !== null) void this.film().player?.stop();
    else this.#goRound(this.ends);
  };

  round = (): void => {
    const { player, frame, frames } = this.film();
    this.#goRound(around(player?.aim ?? frame, frames));
  };

  onRunning = (is: boolean): void => {
    this.running = is;
    if (!is) this.looped = null;
  };

  /** The instant before or after the frame that was asked for. */
  beside(by: 1 | -1): KeyframeNow | undefined {
    const { player, frame } = this.film();
    const at = player?.aim ?? frame;
    const found = this.#found();
    return by > 0 ? found.find((item) => (item.frame ?? 0) > at) : found.findLast((item) => (item.frame ?? 0) < at);
  }

  pace(by: 1 | -1): void {
    const at = SPEEDS.findIndex((item) => item.speed === this.speed);
    this.speed = SPEEDS[Math.min(SPEEDS.length - 1, Math.max(0, at + by))]?.speed ?? this.speed;
  }
}
