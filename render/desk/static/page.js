// @ts-check
/**
 * The gestures of the page: chords that can be chosen by mouse and keys, and the bar of the cursor.
 * Chords are elements with `data-chord`, bars with `data-bar`.
 */
import { chosen as cardChosen } from "./grips.js";

/** Keys that make the page larger, smaller, as large as at first, and show two. */
const VIEW_KEYS = ["+", "=", "-", "0", "2"];

/** Make each chord of the page a button that can be reached by keys, on every new page as well. */
export function dress() {
  const pages = document.querySelector(".pages");
  if (pages instanceof HTMLElement && !pages.dataset.listens) {
    pages.dataset.listens = "yes";
    // A page may be drawn after the server has told of it.
    new MutationObserver((records) => {
      const added = records.flatMap((record) => [...record.addedNodes]);
      if (added.some((node) => node instanceof Element && (node.matches("svg") || node.querySelector("svg")))) {
        dressChords();
      }
    }).observe(pages, { childList: true, subtree: true });
    pages.addEventListener("click", (event) => choose(event));
    pages.addEventListener("keydown", (event) => {
      const focused = event.target instanceof Element && event.target.closest("[data-chord]");
      if (focused && (event.key === "Enter" || event.key === " ")) {
        event.preventDefault();
        event.stopPropagation();
        choose(event);
      } else if (VIEW_KEYS.includes(event.key) && !(event.ctrlKey || event.altKey || event.metaKey)) {
        event.preventDefault();
        pages.dispatchEvent(new CustomEvent("view", { detail: event.key === "=" ? "+" : event.key }));
      }
    });
  }
  dressChords();
}

/**
 * Put the parts of a page that changed in place of those that were there. A page that has not as many
 * parts as it should is asked for whole.
 * @param {string} id of the paper
 * @param {number} count of the parts before
 * @param {[number, number, string][]} splices the last first: where, how many go, what comes
 */
export function change(id, count, splices) {
  const svg = document.getElementById(id)?.querySelector(":scope > svg");
  if (!svg || svg.childElementCount !== count) {
    // @ts-ignore: given by the page
    emitEvent("desk_page", id);
    return;
  }
  for (const [start, removed, added] of splices) {
    const old = [...svg.children].slice(start, start + removed);
    const next = svg.children[start + removed];
    if (next) next.insertAdjacentHTML("beforebegin", added);
    else svg.insertAdjacentHTML("beforeend", added);
    for (const part of old) part.remove();
  }
  dressChords();
}

/** Chords that are new are named with their bar for screen readers. */
function dressChords() {
  for (const chord of document.querySelectorAll(".paper g[data-chord]:not([tabindex])")) {
    chord.setAttribute("tabindex", "0");
    chord.setAttribute("role", "button");
    const title = chord.querySelector("title")?.textContent ?? "";
    chord.setAttribute("aria-label", `bar ${chord.getAttribute("data-bar")} ${title}`);
  }
  mark(marked);
}

/** @param {MouseEvent | KeyboardEvent} event */
function choose(event) {
  const target = event.target;
  if (!(target instanceof Element)) return;
  const chord = target.closest("[data-chord]");
  const bar = target.closest("[data-bar]") ?? barAbove(event);
  const detail = {
    chord: chord ? Number(chord.getAttribute("data-chord")) : null,
    bar: bar ? Number(bar.getAttribute("data-bar")) : null,
    share: bar ? null : shareOfMap(event),
  };
  if (detail.bar === null && detail.share === null) return;
  if (chord) cardChosen(event instanceof KeyboardEvent);
  target.closest(".pages")?.dispatchEvent(new CustomEvent("choose", { detail }));
}

/**
 * The bar over a point of the neck map below it: the last one of the page whose top is higher, in
 * the same line of the page.
 * @param {Event} event
 */
function barAbove(event) {
  const page = event.target instanceof Element && event.target.closest(".paper svg");
  if (!page || !(event instanceof MouseEvent)) return null;
  const { clientX: x, clientY: y } = event;
  const bars = [...page.querySelectorAll("g.bar[data-bar]")].map((bar) => ({
    bar,
    box: bar.getBoundingClientRect(),
  }));
  const over = bars.filter(({ box }) => box.top <= y);
  const lowest = Math.max(...over.map(({ box }) => box.bottom));
  const line = over.filter(({ box }) => box.bottom > lowest - box.height / 2);
  const found = line.find(({ box }) => x >= box.left && x <= box.right);
  return found && y < found.box.bottom + found.box.height ? found.bar : null;
}

/**
 * How far through the tune a point of the small neck map beside the title is, from 0 to 1.
 * @param {Event} event
 */
function shareOfMap(event) {
  const map = event.target instanceof Element && event.target.closest("svg > g.decoration");
  const isFirst = map && !map.previousElementSibling?.closest("g.bar, g.section, g.decoration");
  const way = isFirst && map.querySelector("path");
  if (!way || !(event instanceof MouseEvent)) return null;
  const box = way.getBoundingClientRect();
  return (event.clientX - box.left) / box.width;
}

/** @type {number | null} */
let marked = null;

/** Mark the bar of the cursor. @param {number | null} number */
export function mark(number) {
  marked = number;
  for (const bar of document.querySelectorAll(".paper .cursor-bar")) bar.classList.remove("cursor-bar");
  if (number === null) return;
  for (const bar of document.querySelectorAll(`.paper g.bar[data-bar="${number}"]`)) {
    bar.classList.add("cursor-bar");
  }
}
