import { beforeEach, describe, expect, it, vi } from "vitest";
import { hashOf, sameAs } from "./same";

const calls = vi.hoisted(() => ({ sentBefore: vi.fn() }));
vi.mock("../api/calls", () => calls);

const file = new File(["abc"], "swing.mp4");
beforeEach(() => {
  calls.sentBefore.mockReset();
  // jsdom's files cannot be read whole.
  Object.defineProperty(file, "arrayBuffer", { value: async () => new TextEncoder().encode("abc").buffer, configurable: true });
});

describe("a file that was sent before", () => {
  it("is hashed as FIPS 180-4 has it (the standard's own example, abc)", async () => {
    expect(await hashOf(file)).toBe("ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  });

  it("is not read where no clip has its length", async () => {
    calls.sentBefore.mockResolvedValueOnce({ same_length: false, sent: null });
    expect(await sameAs(file)).toBeNull();
    expect(calls.sentBefore).toHaveBeenCalledExactlyOnceWith(3, undefined, null);
  });

  it("is found by its content", async () => {
    const sent = { submission_id: "s", view: "face-on", received_at: "x" };
    calls.sentBefore.mockResolvedValueOnce({ same_length: true, sent: null }).mockResolvedValueOnce({ same_length: true, sent });
    expect(await sameAs(file)).toBe(sent);
    expect(calls.sentBefore).toHaveBeenLastCalledWith(3, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", null);
  });

  it("holds nobody up without a connection", async () => {
    calls.sentBefore.mockRejectedValueOnce(new Error("no connection"));
    expect(await sameAs(file)).toBeNull();
  });
});
