import { afterEach, beforeEach, expect, test, vi } from "vitest";
import * as calls from "../../api/calls";
import { offlineProblem, Problem } from "../../api/problem";
import type { Me, Review, Xy } from "../../api/types";
import { session } from "../../session/session.svelte";
import { ReviewDesk } from "./desk.svelte";
import { NO_LINE, NOT_KNOWN } from "./ending";
import { Hand } from "./hand.svelte";
import { tabName, wordsToCopy } from "./keep";
import type { Row } from "./rows";

vi.mock("../../api/calls");

/*
 * Nothing a coach does is lost. The server here is a small one that holds a draft, counts versions and can be cut
 * off, closed to a session, or let the claim go; each test asks what it has in the end.
 */
const TOP = { clipId: "c", swing: 0, keyframe: "top" };
const ME = { id: "ada", academy_name: "Heron", role: "coach", time_zone: "UTC" };

class Server {
  version = 3;
  text = "";
  points = new Map<string, Xy>();
  marks = new Map<string, number>();
  holder: { id: string; name: string } | null = { id: "ada", name: "Ada" };
  state: Review["state"] = "claimed";
  offline = false;
  signedIn: string | null = "ada";
  refuses: Problem | null = null;
  heard: string[] = [];

  review(): Review {
    return {
      id: "r",
      state: this.state,
      version: this.version,
      corrects: null,
      claimed_by: this.holder,
      submission: { student: { id: "mira", name: "Mira", language: "en-GB" }, club: null },
      draft: {
        text: this.text,
        later: [],
        judgements: [],
        by_eye: [],
        drawings: [],
        drills: [],
        what_changed: "",
        marks: [...this.marks].map(([keyframe, frame]) => ({ clip_id: "c", swing: 0, keyframe, frame, time_s: 0 })),
        points: [...this.points].map(([point, [x, y]]) => ({ clip_id: "c", swing: 0, keyframe: "top", frame: 1, point, x, y })),
      },
      readings: [],
    } as unknown as Review;
  }

  read(): { data: Review; etag: string } {
    if (this.offline) throw offlineProblem();
    if (this.signedIn === null) throw new Problem(401, "not_signed_in", "Sign in.");
    return { data: this.review(), etag: `"${this.version}"` };
  }

  change(what: string, etag: string, act: () => void): { data: Review; etag: string } {
    this.read();
    if (this.refuses) throw this.refuses;
    if (this.holder?.id !== "ada") throw new Problem(409, "already_claimed", "Another coach has this review.");
    if (etag !== `"${this.version}"`) throw new Problem(412, "stale", "Changed.");
    this.state = "claimed";
    this.heard.push(what);
    act();
    this.version += 1;
    return this.read();
  }
}

let server: Server;
const desks: (() => void)[] = [];

beforeEach(() => {
  vi.useFakeTimers();
  vi.resetAllMocks();
  localStorage.clear();
  sessionStorage.clear();
  server = new Server();
  session.standing = { kind: "in", me: { active: ME, csrf_token: "t" } as unknown as Me };
  vi.mocked(calls.me).mockImplementation(async () => {
    if (server.offline) throw offlineProblem();
    if (server.signedIn === null) throw new Problem(401, "not_signed_in", "Sign in.");
    return { active: { ...ME, id: server.signedIn }, csrf_token: "new" } as unknown as Me;
  });
  vi.mocked(calls.review).mockImplementation(async () => server.read());
  vi.mocked(calls.renew).mockImplementation(async () => server.read().data);
  vi.mocked(calls.claim).mockImplementation(async () => {
    server.holder = { id: "ada", name: "Ada" };
    server.state = "claimed";
    return server.read().data;
  });
  vi.mocked(calls.patchDraft).mockImplementation(async (_, words, etag) =>
    server.change(`text ${words.text}`, etag, () => (server.text = words.text ?? "")),
  );
  vi.mocked(calls.putPoint).mockImplementation(async (_, __, point, at, etag) =>
    server.change(`point ${at.x}`, etag, () => server.points.set(point, [at.x, at.y])),
  );
  vi.mocked(calls.dropPoint).mockImplementation(async (_, __, point, etag) =>
    server.change("point back", etag, () => server.points.delete(point)),
  );
  vi.mocked(calls.send).mockImplementation(async (_, etag) => server.change(`sent ${server.text}`, etag, () => (server.state = "answered")));
  vi.mocked(calls.putMark).mockImplementation(async (_, place, frame, etag) =>
    server.change(`mark ${frame}`, etag, () => server.marks.set(place.keyframe, frame)),
  );
});

afterEach(() => {
  for (const stop of desks.splice(0)) stop();
  vi.useRealTimers();
});

async function open(): Promise<ReviewDesk> {
  const desk = new ReviewDesk("r");
  desks.push(desk.listen());
  const opened = desk.open();
  await vi.advanceTimersByTimeAsync(200);
  await opened;
  return desk;
}

const asRecalled = (): void => {
  server.state = "claimed";
  server.version += 1;
};
const type = (desk: ReviewDesk, text: string): void => {
  desk.text = text;
  desk.wrote();
};
const move = (desk: ReviewDesk, to: Xy, from: Xy | null = null): void => desk.edit({ kind: "point", place: TOP, point: "clubhead", from, to });
const pass = (ms: number): Promise<unknown> => vi.advanceTimersByTimeAsync(ms);

test("what is typed is saved within a second, also while the typing goes on", async () => {
  const desk = await open();
  for (let letters = 1; letters <= 9; letters += 1) {
    type(desk, "x".repeat(letters));
    await pass(100);
  }
  expect(server.text.length).toBeGreaterThan(4);
  await pass(1000);
  expect(server.text).toBe("x".repeat(9));
  expect(desk.saving.kind).toBe("saved");
});

test("a moved point is with the server at once", async () => {
  const desk = await open();
  move(desk, [5, 5]);
  await pass(0);
  expect(server.points.get("clubhead")).toEqual([5, 5]);
});

test("points, moments and words changed without a line survive a reload and arrive in order", async () => {
  const desk = await open();
  server.offline = true;
  desk.edit({ kind: "mark", place: TOP, from: null, to: 40 });
  move(desk, [5, 5]);
  move(desk, [6, 6], [5, 5]);
  type(desk, "Hold it.");
  await pass(5000);
  expect([server.heard, desk.saving.kind]).toEqual([[], "dropped"]);
  desks.pop()?.(); // the page is gone
  server.offline = false;
  const again = await open();
  await pass(5000);
  expect(server.heard).toEqual(["mark 40", "point 5", "point 6", "text Hold it."]);
  expect([again.text, again.putBack, again.refused]).toEqual(["Hold it.", 4, []]);
  expect(localStorage.length).toBe(0);
});

test("a page that is opened without a line waits for it", async () => {
  server.offline = true;
  const desk = new ReviewDesk("r");
  const opened = desk.open();
  await pass(100);
  expect(desk.review).toBeNull();
  server.offline = false;
  await pass(4000);
  await opened;
  expect(desk.review?.version).toBe(3);
});

test("a change that somebody else made meanwhile stands; mine is named, the others arrive", async () => {
  const desk = await open();
  server.offline = true;
  move(desk, [5, 5]);
  desk.edit({ kind: "point", place: TOP, point: "butt", from: null, to: [1, 2] });
  await pass(100);
  server.points.set("clubhead", [9, 9]);
  server.version += 1;
  server.offline = false;
  await pass(4000);
  expect(desk.stale).toBe(true);
  await desk.load();
  await pass(100);
  expect(server.points.get("clubhead")).toEqual([9, 9]);
  expect(server.points.get("butt")).toEqual([1, 2]);
  expect(desk.refused.map((one) => one.name)).toEqual(["Clubhead at top"]);
  const later = await open();
  expect(later.refused, "told until it was seen").toHaveLength(1);
  later.dropRefused();
  expect(localStorage.length).toBe(0);
});

test("a change that the server refuses is told by name, and the next goes on", async () => {
  const desk = await open();
  server.refuses = new Problem(422, "invalid", "That is outside the picture.");
  move(desk, [-5, 5]);
  await pass(100);
  server.refuses = null;
  desk.edit({ kind: "point", place: TOP, point: "butt", from: null, to: [1, 2] });
  await pass(100);
  expect(desk.refused.map(({ name, why }) => [name, why])).toEqual([["Clubhead at top", "That is outside the picture."]]);
  expect(server.heard).toEqual(["point 1"]);
  expect(desk.moving).toEqual({});
});

test("words that both changed are offered, and new ones beside them are kept too", async () => {
  server.text = "Before.";
  const desk = await open();
  server.offline = true;
  type(desk, "Mine.");
  await pass(100);
  server.text = "Theirs.";
  server.version += 1;
  server.offline = false;
  await pass(4000);
  await desk.load();
  expect([desk.text, desk.left?.text]).toEqual(["Theirs.", "Mine."]);
  server.offline = true;
  type(desk, "Theirs, and more.");
  await pass(1000);
  desks.pop()?.();
  server.offline = false;
  const again = await open();
  await pass(4000);
  expect([again.text, again.left?.text, server.text]).toEqual(["Theirs, and more.", "Mine.", "Theirs, and more."]);
  again.useLeft();
  await pass(1000);
  expect([server.text, localStorage.length]).toEqual(["Mine.", 0]);
});

test("a session that ended is told, and the page goes on when the coach is back", async () => {
  const desk = await open();
  server.signedIn = null;
  type(desk, "Hold it.");
  await pass(2000);
  expect([desk.signedOut, server.text]).toEqual(["ended", ""]);
  server.signedIn = "tom";
  await pass(4000);
  expect([desk.signedOut, server.text]).toEqual(["other", ""]);
  server.signedIn = "ada";
  await pass(4000);
  expect([desk.signedOut, server.text]).toEqual(["", "Hold it."]);
});

test("after signing in anew in another tab the page learns the new word by itself", async () => {
  const desk = await open();
  vi.mocked(calls.patchDraft).mockRejectedValueOnce(new Problem(403, "csrf", "Old."));
  type(desk, "Hold it.");
  await pass(1000);
  expect([server.text, desk.trouble, calls.me.length]).toEqual(["Hold it.", "", 0]);
});

test("a claim that lapsed and nobody took goes on", async () => {
  const desk = await open();
  server.state = "waiting";
  type(desk, "Hold it.");
  await pass(1000);
  expect([server.text, desk.lost, desk.review?.state]).toEqual(["Hold it.", "", "claimed"]);
});

test("a claim that another coach has taken leaves the words here, and taken up again they are joined", async () => {
  const desk = await open();
  server.holder = { id: "tom", name: "Tom" };
  server.version += 1;
  type(desk, "Hold it.");
  move(desk, [5, 5]);
  await pass(1000);
  expect([desk.lost, desk.text, server.text, desk.mayEdit]).toEqual(["Another coach has this review.", "Hold it.", "", false]);
  await desk.renew();
  server.holder = null;
  server.state = "waiting";
  await desk.takeAgain();
  await pass(1000);
  expect([desk.lost, server.text, server.points.get("clubhead")]).toEqual(["", "Hold it.", [5, 5]]);
});

test("somebody else's review is not written in", async () => {
  server.holder = { id: "tom", name: "Tom" };
  const desk = await open();
  expect([desk.mayEdit, desk.lost]).toEqual([false, "Tom has this review."]);
});

test("two tabs know of each other; the one at rest follows", async () => {
  vi.useRealTimers();
  const first = new ReviewDesk("r");
  desks.push(first.listen());
  await first.open();
  tabName(true);
  const second = new ReviewDesk("r");
  desks.push(second.listen());
  await second.open();
  await vi.waitFor(() => expect([first.elsewhere, second.elsewhere]).toEqual([true, true]));
  type(second, "From the second.");
  await second.flush();
  await vi.waitFor(() => expect(first.text).toBe("From the second."));
  expect(first.stale).toBe(false);
  desks.pop()?.();
  await vi.waitFor(() => expect(first.elsewhere).toBe(false));
});

test("of two tabs neither throws away what the other keeps", async () => {
  const first = await open();
  server.offline = true;
  type(first, "Mine.");
  tabName(true);
  const second = new ReviewDesk("r");
  server.offline = false;
  await second.load();
  type(second, "Another.");
  await second.flush();
  expect(server.text).toBe("Another.");
  await pass(5000);
  await first.load();
  expect([first.text, first.left?.text]).toEqual(["Another.", "Mine."]);
});

test("what a closed tab kept is found by the next", async () => {
  const first = await open();
  server.offline = true;
  type(first, "Mine.");
  await pass(1000);
  desks.pop()?.();
  sessionStorage.clear();
  server.offline = false;
  const next = await open();
  await pass(4000);
  expect([next.text, server.text]).toEqual(["Mine.", "Mine."]);
});

test("closing asks only while something is kept nowhere", async () => {
  const desk = await open();
  server.offline = true;
  type(desk, "Mine.");
  expect(desk.atRisk).toBe(false);
  const full = vi.spyOn(Storage.prototype, "setItem").mockImplementation(() => {
    throw new DOMException("full", "QuotaExceededError");
  });
  type(desk, "Mine, and more.");
  expect(desk.atRisk).toBe(true);
  full.mockRestore();
  server.offline = false;
  await pass(5000);
  expect([desk.atRisk, server.text]).toEqual([false, "Mine, and more."]);
});

test("every field of the draft has steps in one history, a run of typing is one, and each step reaches the server", async () => {
  const desk = await open();
  for (const text of ["H", "Ho", "Hold"]) desk.write("text", text);
  await pass(2000);
  desk.write("text", "Hold it.");
  desk.write("later", [""], "later 0");
  desk.write("later", ["Grip"], "later 0");
  desk.write("later", ["Grip, next month"], "later 0");
  desk.rest();
  desk.change("text", "Hold it. Breathe.");
  desk.prescribe([{ drill_id: "feet-together", sets: 3, note: "" } as never]);
  desk.write("drills", [{ drill_id: "feet-together", sets: 5, note: "" } as never], "feet-together/sets");
  desk.write("drills", [{ drill_id: "feet-together", sets: 5, note: "Slow" } as never], "feet-together/note");
  desk.judge([{ code: "sway", verdict: "accepted", words: "" } as never]);
  desk.write("judgements", [{ code: "sway", verdict: "accepted", words: "A little" } as never], "sway");
  const now = (): unknown => [desk.text, desk.later, desk.drills.map((one) => [one.sets, one.note]), desk.judgements.map((one) => one.words)];
  const all = now();
  const back = [
    ["Hold it. Breathe.", ["Grip, next month"], [[5, "Slow"]], [""]],
    ["Hold it. Breathe.", ["Grip, next month"], [[5, "Slow"]], []],
    ["Hold it. Breathe.", ["Grip, next month"], [[5, ""]], []],
    ["Hold it. Breathe.", ["Grip, next month"], [[3, ""]], []],
    ["Hold it. Breathe.", ["Grip, next month"], [], []],
    ["Hold it.", ["Grip, next month"], [], []],
    ["Hold it.", [], [], []],
    ["Hold", [], [], []],
    ["", [], [], []],
  ];
  for (const wanted of back) {
    desk.undo();
    expect(now()).toEqual(wanted);
  }
  expect([desk.stepped, desk.history.done]).toEqual(["Undone: the words.", []]);
  await pass(1000);
  expect(server.text).toBe("");
  back.forEach(() => desk.redo());
  await pass(1000);
  expect([now(), server.text]).toEqual([all, "Hold it. Breathe."]);
});

test("back to the machine's points is one step, and undone all of them are where the coach had them", async () => {
  const desk = await open();
  move(desk, [5, 5]);
  desk.edit({ kind: "point", place: TOP, point: "butt", from: null, to: [1, 2] });
  await pass(100);
  const back = (point: string, from: Xy) => ({ kind: "point", place: TOP, point, from, to: null }) as const;
  desk.edit({ kind: "several", edits: [back("clubhead", [5, 5]), back("butt", [1, 2])] });
  await pass(100);
  expect(server.points.size).toBe(0);
  desk.undo();
  await pass(100);
  expect([...server.points]).toEqual([["butt", [1, 2]], ["clubhead", [5, 5]]]);
  expect(desk.stepped).toBe("Undone: grip end at top and 1 more.");
});

test("what goes out is what stood when Send was pressed; meanwhile nothing is changed", async () => {
  const desk = await open();
  let arrive: () => void = () => undefined;
  const slow = new Promise<void>((resolve) => (arrive = resolve));
  vi.mocked(calls.putPoint).mockImplementationOnce(async (_, __, point, at, etag) => {
    await slow;
    return server.change(`point ${at.x}`, etag, () => server.points.set(point, [at.x, at.y]));
  });
  move(desk, [5, 5]);
  desk.write("text", "Hold it.");
  const sent = desk.send();
  expect([desk.ending?.kind, desk.mayEdit, desk.atRisk]).toEqual(["send", false, true]);
  desk.write("text", "Hold it. Half a sen");
  desk.undo();
  move(desk, [7, 7], [5, 5]);
  await pass(2500);
  expect([desk.ending?.stage, desk.ending?.waits, desk.text]).toEqual(["saving", true, "Hold it."]);
  arrive();
  await pass(10);
  expect([await sent, server.heard, server.state]).toEqual([true, ["point 5", "text Hold it.", "sent Hold it."], "answered"]);
  expect(desk.ending).toBeNull();
});

test("without a line a send is given up in words, and does not go by itself when the line is back", async () => {
  const desk = await open();
  server.offline = true;
  desk.write("text", "Hold it.");
  const sent = desk.send();
  await pass(2100);
  expect(desk.ending?.waits).toBe(true);
  await pass(6000);
  expect([await sent, desk.ending, desk.notOut, desk.mayEdit]).toEqual([false, null, { kind: "send", words: NO_LINE }, true]);
  server.offline = false;
  desk.write("text", "Hold it, longer.");
  await pass(10_000);
  expect([server.text, server.state]).toEqual(["Hold it, longer.", "claimed"]);
  expect(calls.send).not.toHaveBeenCalled();
});

test("a send can be let be while it waits, and the words are there to go on with", async () => {
  const desk = await open();
  server.offline = true;
  desk.write("text", "Hold it.");
  const sent = desk.send();
  await pass(500);
  desk.letItBe();
  expect(await sent).toBe(false);
  desk.write("text", "Hold it. More.");
  server.offline = false;
  await pass(10_000);
  expect([desk.text, server.text, server.state, desk.notOut]).toEqual(["Hold it. More.", "Hold it. More.", "claimed", null]);
});

test("a send whose answer is lost is looked up: gone out it is shown so, else the coach is told", async () => {
  const desk = await open();
  desk.write("text", "Hold it.");
  vi.mocked(calls.send).mockImplementationOnce(async (_, etag) => {
    server.change("sent", etag, () => (server.state = "answered"));
    throw offlineProblem();
  });
  const sent = desk.send();
  await pass(100);
  expect([await sent, desk.review?.state, desk.notOut]).toEqual([true, "answered", null]);
  asRecalled();
  const hung = await open();
  vi.mocked(calls.send).mockImplementationOnce((_, __, ___, signal) => new Promise((_resolve, reject) => signal!.addEventListener("abort", () => reject(offlineProblem()))));
  const never = hung.send();
  await pass(31_000);
  expect([await never, hung.notOut?.words, hung.mayEdit]).toEqual([false, NO_LINE, true]);
  const again = await open();
  vi.mocked(calls.send).mockImplementationOnce(async () => {
    server.offline = true;
    throw offlineProblem();
  });
  const second = again.send();
  await pass(100);
  expect([await second, again.notOut?.words]).toEqual([false, NOT_KNOWN]);
});

test("giving back and asking for a new clip are given up without a line too", async () => {
  const desk = await open();
  server.offline = true;
  desk.write("text", "Hold it.");
  const back = desk.release();
  await pass(8100);
  expect([await back, desk.notOut?.kind]).toEqual([false, "release"]);
  const film = desk.askRefilm({ causes: [], message: "", marked: null } as never);
  await pass(8100);
  expect([await film, desk.notOut?.kind, desk.text]).toEqual([false, "refilm", "Hold it."]);
  expect([vi.mocked(calls.release).mock.calls, vi.mocked(calls.askRefilm).mock.calls]).toEqual([[], []]);
});

test("of two moves before the server has answered each is a step of undo, and so is going back to the machine's", async () => {
  const desk = await open();
  const row = { checkpoint: { keyframe: "top", points: ["clubhead", "butt"] }, reading: { clip_id: "c", swing: 0, points: {} }, placed: [] } as unknown as Row;
  const hand = new Hand(desk, () => ({ row, points: {}, clipId: "c", swing: 0, picture: { width: 100, height: 100 } }));
  server.offline = true;
  hand.put("clubhead", [5, 5]);
  hand.put("clubhead", [6, 6]);
  hand.backToMachine(row);
  const at = (): unknown => desk.moving["c/0/top/clubhead"];
  expect(at()).toBeNull();
  desk.undo();
  expect(at()).toEqual([6, 6]);
  desk.undo();
  expect(at()).toEqual([5, 5]);
  desk.undo();
  expect(at()).toBeNull();
  server.offline = false;
  await pass(5000);
  expect([server.points.size, desk.history.done]).toEqual([0, []]);
});

test("a dose that is not finished keeps nothing else from being saved, and is not sent", async () => {
  const desk = await open();
  const drill = { drill_id: "stop", sets: 3, reps: 5, pause_s: null, days_per_week: 4, until: null, note: "", start: null, ball: null, proof: true };
  desk.prescribe([drill]);
  desk.write("drills", [{ ...drill, sets: null as never }], "stop/sets");
  desk.write("text", "Hold it.");
  await pass(1000);
  expect([server.text, desk.saving.kind, vi.mocked(calls.patchDraft).mock.lastCall?.[1].drills]).toEqual(["Hold it.", "saved", [drill]]);
  expect(desk.drills[0]?.sets).toBeNull();
  expect([await desk.send(), server.state]).toEqual([false, "claimed"]);
  desk.write("drills", [{ ...drill, sets: 4 }], "stop/sets");
  await pass(1000);
  expect(vi.mocked(calls.patchDraft).mock.lastCall?.[1].drills).toEqual([{ ...drill, sets: 4 }]);
});

test("what the server does not take is told as not saved, until it is", async () => {
  const desk = await open();
  server.refuses = new Problem(422, "invalid", "body.text: Too long.", ["Say it in fewer words."]);
  desk.write("text", "Hold it.");
  await pass(1000);
  expect([desk.saving, desk.trouble]).toEqual([{ kind: "refused", words: "Say it in fewer words." }, "Say it in fewer words."]);
  server.refuses = null;
  desk.write("text", "Hold.");
  await pass(1000);
  expect([desk.saving.kind, desk.trouble, server.text]).toEqual(["saved", "", "Hold."]);
});

test("what one coach wrote and did not send is never another's in the same browser, and is there when they are back", async () => {
  const desk = await open();
  server.offline = true;
  desk.write("text", "Hers alone.");
  move(desk, [5, 5]);
  await pass(1000);
  desks.pop()?.();
  const signIn = (id: string): void => {
    server.signedIn = id;
    session.standing = { kind: "in", me: { active: { ...ME, id }, csrf_token: "t" } as unknown as Me };
  };
  signIn("tom");
  server.offline = false;
  server.holder = { id: "tom", name: "Tom" };
  const toms = await open();
  await pass(5000);
  expect([toms.text, toms.left, toms.putBack, toms.refused, server.text, server.points.size]).toEqual(["", null, 0, [], "", 0]);
  desks.pop()?.();
  signIn("ada");
  server.holder = { id: "ada", name: "Ada" };
  const hers = await open();
  await pass(5000);
  expect([hers.text, server.text, server.points.get("clubhead")]).toEqual(["Hers alone.", "Hers alone.", [5, 5]]);
});

test("a review that is stopped while it is held leaves the coach their words, also after a reload", async () => {
  const desk = await open();
  desk.write("text", "Hold it.");
  await pass(1000);
  const stopped = new Problem(404, "review_stopped", "It cannot be worked on at the moment.");
  server.refuses = stopped;
  vi.mocked(calls.review).mockRejectedValue(stopped);
  desk.write("text", "Hold it. More.");
  await pass(1000);
  expect([desk.gone, desk.mine?.text, desk.mayEdit]).toEqual([stopped.message, "Hold it. More.", false]);
  desks.pop()?.();
  const again = await open();
  expect([again.gone, again.mine && wordsToCopy(again.mine)]).toEqual([stopped.message, ["Hold it. More."]]);
});

test("of a review that was stopped the coach copies what the server has; of one whose student is erased nothing is kept", async () => {
  const stopped = new Problem(404, "review_stopped", "It cannot be worked on at the moment.");
  const own = { words: ["Hold it."], until: "2026-12-14T09:00:00Z" };
  vi.mocked(calls.review).mockRejectedValue(stopped);
  vi.mocked(calls.ownWords).mockResolvedValue(own);
  const desk = await open();
  expect([desk.mine, desk.own]).toEqual([null, own]);
  desks.pop()?.();

  const name = "fairlead-answer-r@ada~another-tab";
  localStorage.setItem(name, JSON.stringify({ text: "Hold", drills: [], at: "2026-11-30T09:00:00Z" }));
  const erased = new Problem(404, "review_erased", "The data of this student is erased.");
  vi.mocked(calls.review).mockRejectedValue(erased);
  const after = await open();
  expect([after.gone, after.mine, after.own]).toEqual([erased.message, null, null]);
  expect(Object.keys(localStorage).filter((one) => one.includes("r@ada"))).toEqual([]);
});

test("a review that is not there shows nobody's words", async () => {
  vi.mocked(calls.review).mockRejectedValue(new Problem(404, "not_found", "There is no such review."));
  const desk = await open();
  expect([desk.gone, desk.mine]).toEqual(["There is no such review.", null]);
});

test("with a dead line and all saved nothing is tried: it was not sent, and that is certain", async () => {
  const desk = await open();
  server.offline = true;
  const sent = desk.send();
  await pass(100);
  expect([await sent, desk.notOut?.words]).toEqual([false, NO_LINE]);
  expect(calls.send).not.toHaveBeenCalled();
});
