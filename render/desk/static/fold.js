// @ts-check
/**
 * Disclosure buttons of narrow windows: a button of the class `fold` shows and hides the element
 * behind it, by its `aria-expanded` alone (`fold.css`). In wide windows nothing is hidden.
 */

document.addEventListener("click", (event) => {
  const button = event.target instanceof Element ? event.target.closest("button.fold") : null;
  if (button) button.setAttribute("aria-expanded", String(button.getAttribute("aria-expanded") !== "true"));
});

/**
 * Hide what the button in an element shows; the button takes the focus of what is hidden.
 * @param {string} selector
 */
export function close(selector) {
  const button = document.querySelector(`${selector} button.fold`);
  if (!(button instanceof HTMLElement)) return;
  button.setAttribute("aria-expanded", "false");
  if (button.checkVisibility() && button.parentElement?.contains(document.activeElement)) button.focus();
}
