import { beforeEach, describe, expect, it } from "vitest";
import { mayKeep, narrowed, tidyAfter, type Shelf } from "./children";

const HERE = "https://fairlead.test";
const child = (id: string, part = {}): object => ({ membership_id: id, consent: "valid", being_erased: false, ...part });
const clip = (id: string): object => ({ student: { id } });

/** A cache with the contents of a guardian's browser. */
class Cupboard implements Shelf {
  kept = new Map<string, string>();
  keys = async (): Promise<{ url: string }[]> => [...this.kept.keys()].map((url) => ({ url }));
  match = async (url: string): Promise<Response | undefined> =>
    this.kept.has(url) ? new Response(this.kept.get(url), { headers: { "fairlead-kept-at": "2026-11-30T10:00:00Z" } }) : undefined;
  put = async (url: string, answer: Response): Promise<void> => void this.kept.set(url, await answer.text());
  delete = async (url: string): Promise<boolean> => this.kept.delete(url);
  get paths(): string[] {
    return [...this.kept.keys()].map((url) => url.slice(HERE.length)).sort();
  }
}

describe("whose things a guardian's browser keeps", () => {
  it.each([
    [child("a"), ["a"]],
    [child("a", { consent: "withdrawn" }), []],
    [child("a", { consent: "guardian_asked" }), []],
    [child("a", { being_erased: true }), []],
  ])("%j", (one, ids) => {
    expect([...mayKeep([one]).ids]).toEqual(ids);
  });

  it("is nobody's where the service named nobody", () => {
    for (const said of [[], null, "x", { a: 1 }, [null, 3]]) expect(mayKeep(said)).toEqual({ ids: new Set(), all: false });
  });

  it("of a list it is the rows of those children", () => {
    const two = mayKeep([child("a"), child("b", { consent: "withdrawn" })]);
    const list = { items: [clip("a"), clip("b")], next_cursor: null };
    expect(narrowed("/api/v1/submissions", list, two)).toEqual({ items: [clip("a")], next_cursor: null });
    expect(narrowed("/api/v1/submissions/1", clip("b"), two)).toBeNull();
    expect(narrowed("/api/v1/submissions/1", clip("a"), two)).toEqual(clip("a"));
    expect(narrowed("/api/v1/people/b/practice", {}, two)).toBeNull();
    expect(narrowed("/api/v1/media/x.jpg", null, two)).toBeNull();
    expect(narrowed("/api/v1/checkpoints", [1], two)).toEqual([1]);
  });
});

describe("when the service names a guardian's children anew", () => {
  let shelf: Cupboard;

  beforeEach(async () => {
    shelf = new Cupboard();
    const all: Record<string, unknown> = {
      "/owner": "g",
      "/api/v1/me": {},
      "/api/v1/checkpoints": [],
      "/api/v1/submissions": { items: [clip("a"), clip("b")] },
      "/api/v1/submissions/1": clip("a"),
      "/api/v1/submissions/2": clip("b"),
      "/api/v1/people/a/practice": {},
      "/api/v1/people/b/practice": {},
      "/api/v1/media/one.jpg": "still",
    };
    for (const [path, said] of Object.entries(all)) await shelf.put(HERE + path, new Response(JSON.stringify(said)));
  });

  it("all stays while every consent stands", async () => {
    const before = shelf.paths;
    await tidyAfter(shelf, mayKeep([child("a"), child("b")]));
    expect(shelf.paths).toEqual(before);
    expect(JSON.parse(shelf.kept.get(`${HERE}/api/v1/submissions`) ?? "")).toEqual({ items: [clip("a"), clip("b")] });
  });

  it.each([
    ["withdrawn", [child("a"), child("b", { consent: "withdrawn" })]],
    ["about to be erased", [child("a"), child("b", { being_erased: true })]],
    ["no longer theirs", [child("a")]],
  ])("nothing stays of a child whose place is %s, and nothing of the other goes but stills", async (_, said) => {
    await tidyAfter(shelf, mayKeep(said));
    expect(shelf.paths).toEqual(
      ["/api/v1/checkpoints", "/api/v1/me", "/api/v1/people/a/practice", "/api/v1/submissions", "/api/v1/submissions/1", "/owner"].sort(),
    );
    expect(JSON.parse(shelf.kept.get(`${HERE}/api/v1/submissions`) ?? "")).toEqual({ items: [clip("a")] });
  });

  it("nothing of anybody stays when the last one is gone", async () => {
    await tidyAfter(shelf, mayKeep([]));
    expect(shelf.paths).toEqual(["/api/v1/checkpoints", "/api/v1/me", "/api/v1/submissions", "/owner"].sort());
    expect(JSON.parse(shelf.kept.get(`${HERE}/api/v1/submissions`) ?? "")).toEqual({ items: [] });
  });
});
