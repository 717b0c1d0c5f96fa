// @ts-check
/**
 * Disclosure buttons of narrow windows: a button of the class `fold` shows and hides the element
 * behind it, by its `aria-expanded` alone (`fold.css`). In wide windows nothing is hidden.
 */

document.addEventListener("click", (event) => {
  const button = event.target instanceof Element ? event.target.closest("button.fold") : null;
  if (button) button.setAttribute("aria-expanded", String(button.getAttribute("aria-expanded") !== "true"));
});

/** Hide what the button in an element shows. @param {string} selector */
export function close(selector) {
  document.querySelector(`${selector} button.fold`)?.setAttribute("aria-expanded", "false");
}
