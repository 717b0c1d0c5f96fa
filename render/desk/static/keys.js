// @ts-check
/**
 * Keys of the desk that the browser would take for the page around it, wherever the focus is: Ctrl-S
 * saves the tune, Ctrl-P opens the PDF to print, that of an open dialog, else that of the tune. In an
 * open menu the arrow keys go from item to item.
 */

/** What each key clicks, where it stands. @type {Record<string, () => Element | null>} */
const CLICKED = {
  s: () => document.querySelector(".text-head button"),
  p: () => document.querySelector(`${document.querySelector(".practice") ? ".practice" : ".top"} .print-link`),
};

document.addEventListener("keydown", (event) => {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || event.shiftKey) return;
  const key = event.key.toLowerCase();
  const clicked = CLICKED[key]?.();
  if (!(clicked instanceof HTMLElement)) return;
  // The editor saves by itself, behind what was typed last.
  if (key === "s" && event.target instanceof Element && event.target.closest(".cm-editor")) return;
  event.preventDefault();
  clicked.click();
}, { capture: true });

document.addEventListener("keydown", (event) => {
  const menu = document.activeElement?.closest(".q-menu");
  const step = { ArrowDown: 1, ArrowUp: -1 }[event.key];
  if (!menu || !step) return;
  const items = [.../** @type {NodeListOf<HTMLElement>} */ (menu.querySelectorAll("[role='menuitem']"))];
  const at = items.findIndex((item) => item === document.activeElement);
  const next = at < 0 && step < 0 ? items.length - 1 : at + step;
  items[(next + items.length) % items.length]?.focus();
  event.preventDefault();
});
