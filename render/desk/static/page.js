// @ts-check
/**
 * The gestures of the page: chords that can be chosen by mouse and keys, and the bar of the cursor.
 * Chords are elements with `data-chord`, bars with `data-bar`.
 */

/** Make each chord of the page a button that can be reached by keys. */
export function dress() {
  for (const chord of document.querySelectorAll(".paper g[data-chord]")) {
    chord.setAttribute("tabindex", "0");
    chord.setAttribute("role", "button");
  }
  const pages = document.querySelector(".pages");
  if (pages instanceof HTMLElement && !pages.dataset.listens) {
    pages.dataset.listens = "yes";
    pages.addEventListener("click", (event) => choose(event.target));
    pages.addEventListener("keydown", (event) => {
      const focused = event.target instanceof Element && event.target.closest("[data-chord]");
      if (focused && (event.key === "Enter" || event.key === " ")) {
        event.preventDefault();
        event.stopPropagation();
        choose(event.target);
      }
    });
  }
  mark(marked);
}

/** @param {EventTarget | null} target */
function choose(target) {
  if (!(target instanceof Element)) return;
  const chord = target.closest("[data-chord]");
  const bar = target.closest("[data-bar]");
  if (!chord && !bar) return;
  const detail = {
    chord: chord ? Number(chord.getAttribute("data-chord")) : null,
    bar: bar ? Number(bar.getAttribute("data-bar")) : null,
  };
  target.closest(".pages")?.dispatchEvent(new CustomEvent("choose", { detail }));
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
