// @ts-check
/**
 * Ctrl-P at the desk opens the PDF, which the browser prints, instead of printing the desk around
 * the page: that of an open dialog, else that of the tune.
 */
document.addEventListener("keydown", (event) => {
  if (event.key.toLowerCase() !== "p" || !(event.ctrlKey || event.metaKey)) return;
  if (event.altKey || event.shiftKey) return;
  const link = document.querySelector(`${document.querySelector(".practice") ? ".practice" : ".top"} .print-link`);
  if (!(link instanceof HTMLElement)) return;
  event.preventDefault();
  link.click();
}, { capture: true });
