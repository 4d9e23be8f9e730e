/** Follows the golfer from picture to picture, as `worker/body/tracker.py`, and looks round for others now and then. */

import type { Crop } from "./crop";
import type { Person } from "./detector";
import type { Seen } from "./messages";
import { golferOf, isCrowded } from "./people";
import { greyLevel, type Picture } from "./picture";
import type { BodyPoints } from "./points";

/** What a watch needs of the networks. */
export interface Networks {
  people(picture: Picture): Promise<Person[]>;
  body(picture: Picture, crop: Crop): Promise<BodyPoints>;
}

/** Below this the network itself says that the crop holds no person. */
const PERSON_MIN = 0.5;
/** Share of a new crop size taken over in one look: a raised club must not pump the crop. */
const SIZE_STEP = 0.25;
/** Looks between two at the whole picture. */
const ROUND_EVERY = 8;
const LIGHT_SHARE = 0.9;
/** Looks round in a row with somebody else close: one alone may be mistaken, or see who walks past. */
const CROWDED_ROUNDS = 2;

export class Watch {
  #crop: Crop | null = null;
  #crowdedRounds = 0;
  #looks = 0;

  constructor(private readonly networks: Networks) {}

  /** Look at the next picture. */
  async look(picture: Picture): Promise<Seen> {
    const began = performance.now();
    const round = this.#crop === null || this.#looks % ROUND_EVERY === 0;
    this.#looks += 1;
    if (round) {
      const people = await this.networks.people(picture);
      this.#crowdedRounds = isCrowded(people) ? this.#crowdedRounds + 1 : 0;
      this.#crop ??= golferOf(people, picture.width, picture.height)?.crop ?? null;
    }
    const crop = this.#crop;
    const body = crop === null ? null : await this.#follow(picture, crop);
    const crowded = this.#crowdedRounds >= CROWDED_ROUNDS;
    return { body, crop, crowded, light: greyLevel(picture, LIGHT_SHARE), ms: performance.now() - began };
  }

  async #follow(picture: Picture, crop: Crop): Promise<BodyPoints | null> {
    const body = await this.networks.body(picture, crop);
    if (body.person < PERSON_MIN) {
      this.#crop = null;
      return null;
    }
    const side = crop.side + SIZE_STEP * (body.nextCrop.side - crop.side);
    this.#crop = { ...body.nextCrop, side };
    return body;
  }
}
