// @ts-check
/**
 * The chord's card: its grips are heard when they are pointed at, focused or chosen, and the focus
 * goes to the card and back to the chord for those who work by keys.
 */
import { Sound } from "./sound.js";

/** How long the mouse rests on a grip before it is heard, in milliseconds. */
const REST_MS = 120;
/** How long a grip sounds, and how far its strings lie apart, in seconds. */
const RING_S = 1.8;
const SPREAD_S = 0.03;

const sound = new Sound((name) => `/sound/${name}.wav`);
let timer = 0;
/** @type {Element | null} */
let pointed = null;
let last = "";
/** Whether the card was opened or is used by keys. */
let byKeys = false;

/** Listen to a card. @param {HTMLElement} card */
function listen(card) {
  if (card.dataset.listens) return;
  card.dataset.listens = "yes";
  card.addEventListener("pointerover", (event) => {
    const grip = event.target instanceof Element ? event.target.closest("[data-sounds]") : null;
    if (grip === pointed) return;
    pointed = grip;
    clearTimeout(timer);
    if (grip && event.pointerType === "mouse" && hears(card)) timer = setTimeout(() => hear(grip), REST_MS);
  });
  card.addEventListener("pointerleave", () => {
    clearTimeout(timer);
    pointed = null;
  });
  card.addEventListener("focusin", (event) => {
    const button = event.target instanceof Element ? event.target.closest(".hear-grip") : null;
    if (button?.matches(":focus-visible") && hears(card)) hearOf(button);
  });
  card.addEventListener("click", (event) => {
    const button = event.target instanceof Element ? event.target.closest(".hear-grip") : null;
    if (button) hearOf(button);
  });
}

/** @param {Element} card */
function hears(card) {
  return card.classList.contains("hears");
}

/** @param {Element} button */
function hearOf(button) {
  const grip = button.closest("[data-sounds]");
  if (grip) hear(grip);
}

/** Strike a grip. @param {Element} grip */
async function hear(grip) {
  const sounds = (grip.getAttribute("data-sounds") ?? "").split(" ");
  const context = sound.clock();
  await context.resume();
  await sound.prepare(/** @type {any} */ ({ sounds })).catch(() => {});
  sound.silence(context.currentTime);
  const notes = sounds.map((name, place) => ({ sound: name, late: place * SPREAD_S }));
  const piece = /** @type {any} */ ({ time: context.currentTime + 0.02, from: 0, to: RING_S, rate: 1, counts: false });
  sound.sound({ at: 0, length: RING_S, part: "guitar", notes }, piece);
  last = sounds.join(" ");
}

/** The sounds of the grip that was heard last, for tests. */
export function heard() {
  return last;
}

/** The chord of a card was chosen. @param {boolean} keys */
export function chosen(keys) {
  byKeys = keys;
}

/** The card shows another chord, or the same one after a change. */
export function shown() {
  const card = document.querySelector(".card");
  if (!(card instanceof HTMLElement)) return;
  listen(card);
  const lost = document.activeElement === document.body && byKeys;
  if (lost || (byKeys && document.activeElement?.closest(".paper"))) card.focus();
}

/** The card is closed: back to its chord. @param {number} chord */
export function closed(chord) {
  clearTimeout(timer);
  if (!byKeys) return;
  byKeys = false;
  const found = document.querySelector(`.paper [data-chord="${chord}"]`);
  if (found instanceof SVGElement) found.focus();
}

document.addEventListener("focusin", (event) => {
  if (event.target instanceof Element && event.target.closest(".card")) byKeys = true;
});
