// @ts-check
/**
 * The gestures of the page: chords that can be chosen by mouse and keys, and the bar of the cursor.
 * Chords are elements with `data-chord`, bars with `data-bar`.
 */
import { chosen as cardChosen } from "./grips.js";

/** Keys that make the page larger, smaller, as large as at first, and show two. */
const VIEW_KEYS = ["+", "=", "-", "0", "2"];

/** @typedef {[line: number, place: string]} Move of a line of the chart, which is this child of the page */
/** @typedef {[line: number | null, start: number, removed: number, added: string]} Splice of what a line has, or the page */
/** @typedef {{ count: number, moves: Move[], splices: Splice[] }} Change of a page that has so many parts */
/** @typedef {string | Change | null} Shown a page whole, what changes in it, or nothing of it */

/** The version of the pages that each element holds. @type {WeakMap<Element, number>} */
const versions = new WeakMap();

/**
 * Show pages: whole ones, and others by the parts that changed. Where the element does not hold the
 * pages that the parts belong to, all are asked for whole.
 * @param {string} id of the element around the pages
 * @param {number | null} from the version that is changed, null where all pages are whole
 * @param {number} to the version that is shown then
 * @param {Shown[]} pages
 */
export function show(id, from, to, pages) {
  const papers = document.getElementById(id);
  if (!papers) return;
  listen(papers);
  const held = from === null || from === (versions.get(papers) ?? 0);
  if (!held || !pages.every((page, at) => fits(papers.children[at], page))) {
    // @ts-ignore: given by the page
    emitEvent("desk_page", id);
    return;
  }
  pages.forEach((page, at) => {
    const paper = /** @type {HTMLElement} */ (papers.children[at] ?? papers.appendChild(newPaper()));
    if (typeof page === "string") draw(paper, page);
    else if (page) change(/** @type {Element} */ (paper.firstElementChild), page);
  });
  for (const paper of [...papers.children].slice(pages.length)) paper.remove();
  versions.set(papers, to);
  dressChords(papers);
}

function newPaper() {
  const paper = document.createElement("div");
  paper.className = "paper";
  return paper;
}

/**
 * A whole page; its paper keeps its size while it is out of sight and not drawn.
 * @param {HTMLElement} paper
 * @param {string} page
 */
function draw(paper, page) {
  paper.innerHTML = page;
  const [, , width, height] = (paper.firstElementChild?.getAttribute("viewBox") ?? "").split(" ");
  paper.style.aspectRatio = `${width} / ${height}`;
}

/** Whether a page has what its change belongs to. @param {Element | undefined} paper @param {Shown} page */
function fits(paper, page) {
  if (typeof page === "string") return true;
  const svg = paper?.firstElementChild;
  if (!svg || !page) return Boolean(svg);
  const lines = [...svg.children].filter((each) => each.matches("g.line"));
  return page.count === lines.reduce((count, line) => count + line.childElementCount, svg.childElementCount);
}

const SVG = "http://www.w3.org/2000/svg";
/** So many parts change where they stand; more are put in place of the old ones sooner than compared. */
const FEW = 12;

/** @param {Element} svg @param {Change} change */
function change(svg, { moves, splices }) {
  for (const [line, place] of moves) svg.children[line].setAttribute("transform", place);
  for (const [line, start, removed, added] of splices) {
    splice(line === null ? svg : svg.children[line], start, removed, added);
  }
}

/**
 * A few parts that come in place of as many change them where they stand: an element that is put
 * into a page or a line or taken out makes the browser find the style of all that is in it.
 * @param {Element} place
 * @param {number} start
 * @param {number} removed
 * @param {string} added
 */
function splice(place, start, removed, added) {
  const holder = document.createElementNS(SVG, "g");
  holder.innerHTML = added;
  dressChords(holder);
  const old = [...place.children].slice(start, start + removed);
  const fresh = [...holder.children];
  if (old.length === fresh.length && old.length <= FEW) old.forEach((part, at) => become(part, fresh[at]));
  else {
    place.insertBefore(fragment(fresh), place.children[start + removed] ?? null);
    for (const part of old) part.remove();
  }
}

/** @param {Element[]} elements */
function fragment(elements) {
  const found = document.createDocumentFragment();
  found.append(...elements);
  return found;
}

/**
 * Make a node like a fresh one, or put that in its place.
 * @param {ChildNode} old
 * @param {ChildNode} fresh
 */
function become(old, fresh) {
  if (old.isEqualNode(fresh)) return;
  if (old instanceof Text && fresh instanceof Text) {
    old.data = fresh.data;
    return;
  }
  const children = [...old.childNodes];
  const next = [...fresh.childNodes];
  if (
    !(old instanceof Element && fresh instanceof Element && old.nodeName === fresh.nodeName) ||
    `${old.getAttributeNames()}` !== `${fresh.getAttributeNames()}` ||
    children.length !== next.length
  ) {
    old.replaceWith(fresh);
    return;
  }
  for (const name of fresh.getAttributeNames()) {
    const value = fresh.getAttribute(name) ?? "";
    if (old.getAttribute(name) !== value) old.setAttribute(name, value);
  }
  children.forEach((child, at) => become(child, next[at]));
}

/** Hear clicks and keys at the pages. @param {Element} papers */
function listen(papers) {
  const pages = papers.closest(".pages");
  if (!(pages instanceof HTMLElement) || pages.dataset.listens) return;
  pages.dataset.listens = "yes";
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

/**
 * Chords that are new are buttons, named with their bar for screen readers; the bar of the cursor is
 * marked.
 * @param {Element} place
 */
function dressChords(place) {
  for (const chord of place.querySelectorAll("g[data-chord]:not([tabindex])")) {
    chord.setAttribute("tabindex", "0");
    chord.setAttribute("role", "button");
    const title = chord.querySelector("title")?.textContent ?? "";
    chord.setAttribute("aria-label", `bar ${chord.getAttribute("data-bar")} ${title}`);
  }
  markBar(place);
}

/** @param {MouseEvent | KeyboardEvent} event */
function choose(event) {
  const target = event.target;
  if (!(target instanceof Element)) return;
  const chord = target.closest("[data-chord]") ?? chordAt(event);
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
 * The chord in whose box a point is: between the lines of a grid the page itself is hit.
 * @param {Event} event
 */
function chordAt(event) {
  const page = event.target instanceof Element && event.target.closest(".paper svg");
  if (!page || !(event instanceof MouseEvent)) return null;
  const { clientX: x, clientY: y } = event;
  const isOver = (/** @type {Element} */ chord) => {
    const box = chord.getBoundingClientRect();
    return x >= box.left && x <= box.right && y >= box.top && y <= box.bottom;
  };
  return [...page.querySelectorAll("g[data-chord]")].find(isOver) ?? null;
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

/** Mark the bar of the cursor. @param {string} id of the element around the pages @param {number | null} number */
export function mark(id, number) {
  marked = number;
  const papers = document.getElementById(id);
  if (papers) markBar(papers);
}

/** @param {Element} place */
function markBar(place) {
  const bars = marked === null ? [] : place.querySelectorAll(`g.bar[data-bar="${marked}"]`);
  const others = new Set(place.querySelectorAll(".cursor-bar"));
  for (const bar of bars) if (!others.delete(bar)) bar.classList.add("cursor-bar");
  for (const bar of others) bar.classList.remove("cursor-bar");
}
