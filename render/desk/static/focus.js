// @ts-check
/**
 * Where the focus goes when what had it is taken away, for those who work by keys: a list that is
 * made anew, a mistake that is mended, a question that is answered, a button that is out of use.
 * Who mends a mistake with a mouse goes on in the text as well, where Ctrl-Z takes it back.
 */

/** Places whose parts come and go, and where the focus goes then, in this order. @type {Record<string, string>} */
const BACK = {
  ".tunes": ".tune.open",
  ".ask": ".shelf-tools .rename",
  ".mistakes": ".mistakes .fix, .cm-content",
  ".conflict": ".cm-content",
  ".text-head": ".cm-content",
};

const TEXT = ".cm-content";
/** The element that has the focus, the place it stands in, its name, and whether it is used by keys. */
const held = { element: document.body, place: "", name: "", byKeys: true };
const watch = new MutationObserver(check);

document.addEventListener("focusin", (event) => {
  watch.disconnect();
  const element = event.target;
  if (!(element instanceof HTMLElement)) return;
  const place = Object.keys(BACK).find((selector) => element.closest(selector));
  const byKeys = element.matches(":focus-visible");
  // A finger is no mouse: the text would bring up a keyboard on the screen.
  if (!byKeys && !(place === ".mistakes" && !matchMedia("(pointer: coarse)").matches)) return;
  const watched = place && element.closest(place);
  if (!watched) return;
  Object.assign(held, { element, place, name: nameOf(element), byKeys });
  watch.observe(watched, { childList: true, subtree: true, attributes: true, attributeFilter: ["disabled"] });
});

function check() {
  const at = document.activeElement;
  const isLost = !held.element.isConnected || held.element.hasAttribute("disabled");
  if (!isLost || (at && at !== document.body && at !== held.element)) return;
  watch.disconnect();
  const place = document.querySelector(held.place);
  const same = [...(place?.querySelectorAll("button, [tabindex]") ?? [])].filter((each) => nameOf(each) === held.name);
  const others = BACK[held.place].split(", ").flatMap((selector) => [...document.querySelectorAll(selector)]);
  for (const each of held.byKeys ? [...same, ...others] : document.querySelectorAll(TEXT)) {
    if (!(each instanceof HTMLElement) || each.hasAttribute("disabled")) continue;
    each.focus({ preventScroll: each.matches(TEXT) });
    if (document.activeElement === each) return;
  }
}

/** What an element is called. @param {Element} element */
function nameOf(element) {
  return element.getAttribute("aria-label") ?? element.querySelector(".title")?.textContent ?? element.textContent ?? "";
}
