import type { Hand, View } from "../../api/types";
import { greyLevel } from "./body/picture";
import type { Place } from "./body/crop";
import type { Seen } from "./body/messages";
import { Looker } from "./body/looker";
import { exposureOf, trackOf } from "./camera";
import { LIMITS } from "./estimates";
import { judge, type Check, type Situation, type Told } from "./framing";
import { firstBad, Steady } from "./steady";
import { standsStill, type Track } from "./stance";
import { listenToTilt, type Tilt } from "./tilt";

/** Whom and what the check is for. */
export interface Wanted {
  view: View;
  handed: Hand;
  clubM: number | null;
  statureM: number | null;
}

/** `loading`: the networks are on their way. `outline`: this phone cannot run them, a drawn outline stands in. */
export type Mode = "loading" | "live" | "outline";

/** Milliseconds between two looks: while aiming, and while filming, when the camera needs the phone. */
const AIMING_MS = 200;
const FILMING_MS = 700;
/** The stance is judged from the last second, as the worker judges a clip's first. */
const WINDOW_MS = 1000;
/** Slower than this, three times, and the outline stands in. */
const TOO_SLOW_MS = 2500;
/** What can be judged while the golfer swings. */
const WHILE_FILMING: readonly Check[] = ["whole", "level", "light"];
const LIGHT_SHARE = 0.9;

/** Looks at the camera's picture again and again and keeps what to tell. Nothing leaves the phone. */
export class LiveCheck {
  mode = $state<Mode>("loading");
  told = $state<Told[]>([]);
  /** The golfer in the last picture, shares of its width and height; null where nobody is seen. */
  body = $state.raw<Place[] | null>(null);
  filming = $state(false);

  #steady = new Steady();
  #looker: Looker | null = null;
  #tilt: Tilt | null = null;
  #quiet: () => void = () => undefined;
  #recent: { atMs: number; places: Place[] }[] = [];
  #stance = new Map<Check, Told>();
  #slow = 0;
  #running = true;

  constructor(
    private readonly video: HTMLVideoElement,
    private readonly stream: MediaStream,
    private readonly wanted: Wanted,
  ) {}

  /** Begin; to be called from a tap. `networks`: whether to fetch them. */
  start(networks: boolean): void {
    void listenToTilt((tilt) => (this.#tilt = tilt)).then((quiet) => {
      this.#quiet = quiet;
      if (!this.#running) quiet();
    });
    if (networks) void this.load();
    else this.mode = "outline";
    void this.#run();
  }

  /** Fetch the networks, or stand by the outline where they cannot run here. */
  async load(): Promise<void> {
    this.mode = "loading";
    try {
      const looker = await Looker.open();
      if (!this.#running) return looker.close();
      this.#looker = looker;
      this.mode = "live";
    } catch {
      this.mode = "outline";
    }
  }

  stop(): void {
    this.#running = false;
    this.#quiet();
    this.#looker?.close();
    this.#looker = null;
  }

  async #run(): Promise<void> {
    const canvas = document.createElement("canvas");
    while (this.#running) {
      if (!document.hidden && this.video.videoWidth > 0) await this.#look(canvas).catch(() => undefined);
      await new Promise((on) => setTimeout(on, this.filming ? FILMING_MS : AIMING_MS));
    }
  }

  async #look(canvas: HTMLCanvasElement): Promise<void> {
    const shrink = Math.min(1, LIMITS.scan_side / Math.max(this.video.videoWidth, this.video.videoHeight));
    canvas.width = Math.round(this.video.videoWidth * shrink);
    canvas.height = Math.round(this.video.videoHeight * shrink);
    const context = canvas.getContext("2d", { willReadFrequently: true });
    if (context === null) return;
    context.drawImage(this.video, 0, 0, canvas.width, canvas.height);
    const picture = context.getImageData(0, 0, canvas.width, canvas.height);
    const { width, height } = picture;
    if (this.#looker === null) {
      this.#hear(null, width, height, greyLevel(picture, LIGHT_SHARE));
      return;
    }
    const seen = await this.#looker.look(picture);
    this.#mindPace(seen.ms);
    this.#hear(seen, width, height, seen.light);
  }

  #mindPace(ms: number): void {
    this.#slow = ms > TOO_SLOW_MS ? this.#slow + 1 : 0;
    if (this.#slow < 3) return;
    this.#looker?.close();
    this.#looker = null;
    this.mode = "outline";
  }

  #hear(seen: Seen | null, width: number, height: number, light: number): void {
    if (!this.#running) return;
    const nowMs = performance.now();
    const places = seen?.body?.xy ?? null;
    this.body = places?.map(([x, y]): Place => [x / width, y / height]) ?? null;
    this.#recent = this.#recent.filter((one) => places !== null && nowMs - one.atMs <= WINDOW_MS);
    if (places !== null) this.#recent.push({ atMs: nowMs, places });
    const situation: Situation = {
      ...this.wanted,
      looked: seen !== null,
      track: this.#recent.map((one) => one.places),
      size: { width, height },
      filmPx: this.video.videoWidth / width,
      crowded: seen?.crowded ?? false,
      light,
      exposureS: exposureOf(trackOf(this.stream)),
      tilt: this.#tilt,
    };
    this.told = this.#steady.hear(this.#held(judge(situation), situation.track), nowMs);
  }

  /** Of who moves the rules of the stance do not hold: what was last told of it stays. */
  #held(answers: Told[], track: Track): Told[] {
    const judged = track.length === 0 || (!this.filming && standsStill(track));
    return answers.map((told) => {
      if (WHILE_FILMING.includes(told.check)) return told;
      if (judged) this.#stance.set(told.check, told);
      return this.#stance.get(told.check) ?? { check: told.check, state: "unknown" };
    });
  }

  /** What to put right first; while filming only what can be judged then. */
  get first(): Extract<Told, { state: "bad" }> | null {
    return firstBad(this.filming ? this.told.filter((told) => WHILE_FILMING.includes(told.check)) : this.told);
  }

  /** Whether all that one golfer at address shows was judged, and nothing is to be put right. */
  get good(): boolean {
    const needed: readonly Check[] = this.filming ? ["whole"] : ["whole", "distance", "room", "view"];
    const state = (check: Check) => this.told.find((told) => told.check === check)?.state;
    return this.mode === "live" && this.first === null && needed.every((check) => state(check) === "good");
  }
}
