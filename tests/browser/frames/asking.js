import { FramePlayer } from "./player.js";

/** Asks the desk's own player for frames and reads the number in the picture that the video then shows. */

const TENTH = 0.1;
const GIVEN_UP_MS = 30_000;
const video = document.querySelector("video");
const canvas = new OffscreenCanvas(72, 128);
const pen = canvas.getContext("2d", { willReadFrequently: true });

/** The number in the picture; null when a field and its opposite do not differ: frames are mixed. */
function numberShown(fields) {
  pen.drawImage(video, 0, 0, canvas.width, canvas.height);
  const { data } = pen.getImageData(0, 0, canvas.width, canvas.height);
  const light = ([left, top]) => data[4 * (Math.round(top * TENTH) * canvas.width + Math.round(left * TENTH)) + 1];
  let number = 0;
  for (let bit = 0; bit < fields.length / 2; bit += 1) {
    const [one, other] = [light(fields[2 * bit]), light(fields[2 * bit + 1])];
    if (Math.abs(one - other) < 120) return null;
    if (one > other) number += 2 ** bit;
  }
  return number;
}

let player;
let fields;
let told = -1;
let onShown = () => undefined;

window.open_clip = async (source, times, places) => {
  fields = places;
  player?.close();
  video.src = source;
  await new Promise((resolve, refuse) => {
    video.onloadeddata = resolve;
    video.onerror = () => refuse(new Error(video.error.message));
  });
  player = new FramePlayer(video, times, {
    shown: (frame) => {
      told = frame;
      onShown(frame);
    },
  });
};

/** Each asked frame with the frame the player told, the one in the picture, and how long it took. */
window.ask = async (frames) => {
  const answers = [];
  for (const asked of frames) {
    const start = performance.now();
    await Promise.race([player.show(asked), new Promise((resolve) => setTimeout(resolve, GIVEN_UP_MS))]);
    const took_ms = performance.now() - start;
    answers.push({ asked, told, shown: numberShown(fields), took_ms });
  }
  return answers;
};

/** Asks without waiting, as a hand on the strip does; then what every told frame had in its picture. */
window.scrub = async (frames) => {
  const answers = [];
  onShown = (frame) => answers.push({ asked: frame, told: frame, shown: numberShown(fields), took_ms: 0 });
  let last;
  for (const asked of frames) {
    last = player.show(asked);
    await new Promise((resolve) => setTimeout(resolve, 7));
  }
  await last;
  while (told !== frames.at(-1)) await new Promise((resolve) => setTimeout(resolve, 20));
  onShown = () => undefined;
  return answers;
};

/** Goes round for a while; looks at the picture at every turn of the screen, told of or not. */
window.go_round = async (loop, seconds) => {
  await player.show(loop.from);
  const seen = new Set();
  const going = player.loop(loop);
  const until = performance.now() + 1000 * seconds;
  while (performance.now() < until) {
    await new Promise((resolve) => requestAnimationFrame(resolve));
    seen.add(numberShown(fields));
  }
  await player.stop();
  await going;
  return [...seen];
};
