// @ts-check
/**
 * Where the focus goes when what had it is taken away, for those who work by keys: a list that is
 * made anew, a mistake that is mended, a question that is answered, a button that is out of use.
 */

/** Places whose parts come and go, and where the focus goes then, in this order. @type {Record<string, string>} */
const BACK = {
  ".tunes": ".tune.open",
  ".ask": ".shelf-tools .rename",
  ".mistakes": ".mistakes .fix, .cm-content",
  ".conflict": ".cm-content",
  ".text-head": ".cm-content",
};

/** The element that has the focus, the place it stands in, and its name. */
const held = { element: document.body, place: "", name: "" };
const watch = new MutationObserver(check);

document.addEventListener("focusin", (event) => {
  watch.disconnect();
  const element = event.target;
  if (!(element instanceof HTMLElement) || !element.matches(":focus-visible")) return;
  const place = Object.keys(BACK).find((selector) => element.closest(selector));
  const watched = place && element.closest(place);
  if (!watched) return;
  Object.assign(held, { element, place, name: nameOf(element) });
  watch.observe(watched, { childList: true, subtree: true, attributes: true, attributeFilter: ["disabled"] });
});

function check() {
  const at = document.activeElement;
  const isLost = !held.element.isConnected || held.element.hasAttribute("disabled");
  if (!isLost || (at && at !== document.body && at !== held.element)) return;
  watch.disconnect();
  const place = document.querySelector(held.place);
  const same = [...(place?.querySelectorAll("button, [tabindex]") ?? [])].filter((each) => nameOf(each) === held.name);
  for (const each of [...same, ...BACK[held.place].split(", ").flatMap((one) => [...document.querySelectorAll(one)])]) {
    if (!(each instanceof HTMLElement) || each.hasAttribute("disabled")) continue;
    each.focus();
    if (document.activeElement === each) return;
  }
}

/** What an element is called. @param {Element} element */
function nameOf(element) {
  return element.getAttribute("aria-label") ?? element.querySelector(".title")?.textContent ?? element.textContent ?? "";
}
