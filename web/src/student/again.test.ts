import { expect, test } from "vitest";
import type { Clip, Submission, UploadRead } from "../api/types";
import { clipsToSend } from "./again";

const upload = (state: UploadRead["state"]): UploadRead => ({ id: "u", view: "face-on", offset: 5, length: 10, state });
const clip = (view: Clip["view"], state: Clip["state"]): Clip =>
  ({ id: view, view, state, refusal: state === "refused" ? { code: "too_dark", message: "Too dark." } : null }) as Clip;
const submission = (part: Partial<Submission>): Submission => ({ state: "receiving", uploads: [], clips: [], ...part }) as Submission;

test("a half-sent clip goes on with its upload, whatever else is wanted", () => {
  expect(clipsToSend(submission({ uploads: [upload("receiving"), upload("expired")] }))).toEqual([
    { view: "face-on", upload: upload("receiving"), refusal: null },
  ]);
});

test("refused clips are wanted again with the reason, measured ones are not", () => {
  const clips = [clip("face-on", "refused"), clip("down-the-line", "measured")];
  expect(clipsToSend(submission({ state: "unreadable", clips }))).toEqual([
    { view: "face-on", upload: null, refusal: "Too dark." },
  ]);
});

test("a coach who asks for a new film wants every view, unless one was refused", () => {
  const clips = [clip("face-on", "measured"), clip("down-the-line", "measured")];
  expect(clipsToSend(submission({ state: "refilm_asked", clips })).map((want) => want.view)).toEqual([
    "face-on",
    "down-the-line",
  ]);
});

test("a submission whose sending never began takes either view; one that is worked on takes none", () => {
  expect(clipsToSend(submission({}))).toHaveLength(2);
  expect(clipsToSend(submission({ state: "waiting", clips: [clip("face-on", "measured")] }))).toEqual([]);
});
