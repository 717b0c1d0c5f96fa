// @ts-check
/**
 * The stand: pages turn by a tap or the keys that foot pedals send, the screen stays awake, and the
 * bar that the desk plays is shown.
 */
import { attach, follow } from "./player.js";

/** @typedef {{ request(kind: "screen"): Promise<unknown> }} WakeLock */

const FORWARD = ["PageDown", "ArrowRight", "ArrowDown", "Enter"];
const BACK = ["PageUp", "ArrowLeft", "ArrowUp", "Backspace"];
/** A turn keeps a little of what was seen, where a page is higher than the screen. */
const TURN = 0.85;

const pages = /** @type {HTMLElement} */ (document.querySelector(".stand-pages"));
const player = /** @type {HTMLElement} */ (document.querySelector(".stand-player"));

/** Where a turn leads: to the next page's top where that comes into sight, else a screen on. @param {number} way */
function goal(way) {
  const from = pages.scrollTop;
  const to = from + way * TURN * pages.clientHeight;
  const tops = [...pages.querySelectorAll(".paper")].map((paper) => {
    return paper.getBoundingClientRect().top - pages.getBoundingClientRect().top + from;
  });
  const between = tops.filter((top) => (top - from) * way > 2 && (to - top) * way >= 0);
  return between.length ? between[way > 0 ? 0 : between.length - 1] : to;
}

/** @param {number} way */
function turn(way) {
  pages.scrollTo({ top: goal(way) });
}

document.addEventListener("keydown", (event) => {
  const target = /** @type {HTMLElement} */ (event.target);
  if (event.ctrlKey || event.altKey || event.metaKey) return;
  if (target.closest("input, button, a")) return;
  if (FORWARD.includes(event.key)) turn(1);
  else if (BACK.includes(event.key)) turn(-1);
  else return;
  event.preventDefault();
});

pages.addEventListener("click", (event) => turn(event.clientX < innerWidth / 3 ? -1 : 1));

/** Keep the screen awake while the page is seen; a browser may want a touch first. */
async function stayAwake() {
  const lock = /** @type {WakeLock | undefined} */ (/** @type {any} */ (navigator).wakeLock);
  if (document.visibilityState !== "visible") return;
  try {
    await lock?.request("screen");
    document.documentElement.dataset.awake = lock ? "yes" : "no";
  } catch {
    document.documentElement.dataset.awake = "no";
  }
}

document.addEventListener("visibilitychange", stayAwake);
document.addEventListener("pointerdown", stayAwake, { once: true });
stayAwake();

const root = player.dataset.root ?? "";
attach(".stand-player", {
  schedule: player.dataset.schedule ?? "",
  sounds: root ? `${root}/stand-sound` : "/stand-sound",
  tools: false,
});

/** @typedef {{ bar: number, length: number, ago: number }} Heard */

/** How often the desk is asked while it plays nothing, and at the most, in ms. */
const IDLE_MS = 1000;
const LEAST_MS = 200;
let frame = 0;

/** Ask what the desk plays, show it until the bar is over, and ask again. */
async function followDesk() {
  const answer = await fetch(player.dataset.place ?? "").catch(() => null);
  /** @type {Heard | null} */
  const heard = answer?.ok ? await answer.json() : null;
  const began = performance.now() - 1000 * (heard?.ago ?? 0);
  cancelAnimationFrame(frame);
  const show = () => {
    if (heard) follow(heard.bar, Math.min(1, (performance.now() - began) / (1000 * heard.length)));
    frame = requestAnimationFrame(show);
  };
  if (heard) show();
  else follow(null, 0);
  const left = heard ? 1000 * (heard.length - heard.ago) + 30 : IDLE_MS;
  setTimeout(followDesk, Math.min(IDLE_MS, Math.max(LEAST_MS, left)));
}

followDesk();
