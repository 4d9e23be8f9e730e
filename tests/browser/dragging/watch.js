/**
 * Watches what a dragged point does to a number on the page, frame by frame. Runs in the page under test.
 *
 * Chromium hands moves of the pointer out once a frame, just before the frame's animation callbacks; what the page has
 * changed by the time of those is what the frame paints. A callback asked for during the move therefore runs in the very
 * frame that is painted next, after the page's own work for the move and before the painting; a message posted from it
 * arrives when the main thread is done with the frame.
 *
 * Of each move: `text` before, at its frame's painting, and when the next move comes. Times are the page's clock, ms.
 */
({ pane, number }) => {
  const moves = [];
  const textNow = () => document.querySelector(number)?.textContent ?? "";
  const painted = new MessageChannel();
  let frame = [];
  painted.port1.onmessage = () => {
    for (const move of frame) move.paintedAt = performance.now();
    frame = [];
  };
  let waiting = [];
  const listen = (event) => {
    if (!(event.buttons & 1) || !event.isTrusted) return;
    const before = textNow();
    const last = moves.at(-1);
    if (last) last.later = before;
    const move = { happenedAt: event.timeStamp, handedOutAt: performance.now(), before, atPaint: null, changedAt: null, frameAt: null, paintedAt: null, later: null };
    moves.push(move);
    waiting.push(move);
    if (waiting.length > 1) return;
    requestAnimationFrame((at) => {
      const text = textNow();
      for (const one of waiting) Object.assign(one, { atPaint: text, frameAt: at });
      frame = waiting;
      waiting = [];
      painted.port2.postMessage(0);
    });
  };
  // On the window, in the first phase: before any of the page's own listeners.
  window.addEventListener("pointermove", listen, { capture: true });
  const observer = new MutationObserver(() => {
    const at = performance.now();
    for (const move of moves.slice(-2)) if (move.changedAt === null && textNow() !== move.before) move.changedAt = at;
  });
  observer.observe(document.querySelector(pane), { subtree: true, childList: true, characterData: true });
  window.__dragWatch = {
    end() {
      window.removeEventListener("pointermove", listen, { capture: true });
      observer.disconnect();
      const last = moves.at(-1);
      if (last) last.later = textNow();
      return moves;
    },
  };
};
