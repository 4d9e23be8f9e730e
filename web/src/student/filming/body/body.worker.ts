/** The web worker in which the body networks run, so that the picture on the screen never stutters. */

import type { Answer, Ask } from "./messages";
import { BodyNetworks } from "./networks";
import { Watch } from "./watch";

declare function postMessage(answer: Answer): void;

const wordsOf = (error: unknown): string => (error instanceof Error ? error.message : String(error));

const watching = BodyNetworks.load().then((networks) => new Watch(networks));
watching.then(
  () => postMessage({ kind: "ready" }),
  (error: unknown) => postMessage({ kind: "failed", words: wordsOf(error) }),
);

addEventListener("message", (event: MessageEvent<Ask>) => {
  const { id, width, height, bytes } = event.data;
  void watching
    .then((watch) => watch.look({ width, height, data: new Uint8ClampedArray(bytes) }))
    .then(
      (seen) => postMessage({ kind: "seen", id, seen }),
      (error: unknown) => postMessage({ kind: "missed", id, words: wordsOf(error) }),
    );
});
