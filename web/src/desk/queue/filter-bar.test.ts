import { flushSync, mount, unmount } from "svelte";
import { expect, test, vi } from "vitest";
import FilterBar from "./FilterBar.svelte";
import { NO_FILTERS } from "./filters";

test("what was typed holds as soon as the search is left: the next one taken is one of those", () => {
  const onchange = vi.fn();
  const bar = mount(FilterBar, { target: document.body, props: { asked: { state: "waiting", filters: NO_FILTERS }, options: null, open: false, onchange, onleave: () => undefined } });
  flushSync();
  const box = document.querySelector("input")!;
  box.value = "Gil";
  box.dispatchEvent(new Event("input", { bubbles: true }));
  expect(onchange).not.toHaveBeenCalled();
  box.dispatchEvent(new Event("change", { bubbles: true })); // as the browser tells before a press on a button
  expect(onchange).toHaveBeenCalledWith({ ...NO_FILTERS, search: "Gil" });
  void unmount(bar);
});
