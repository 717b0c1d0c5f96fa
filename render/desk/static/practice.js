// @ts-check
/** Drills in the dialog are heard: one exercise at a time, its chords marked on the pages. */
import { SILENT, Sound } from "./sound.js";
import { stop as stopPlayer } from "./player.js";

/** @typedef {import("./sound.js").Schedule} Schedule */

const sound = new Sound((name) => `/sound/${name}.wav`);
/** @type {Element | null} */
let button = null;
let frame = 0;
sound.ended = () => stop();

/**
 * Play an exercise, or stop it.
 * @param {Element} pressed its button
 * @param {string} address that of its schedule
 * @param {number[]} places of elements with the index of a chord, which one is of this exercise
 */
export async function toggle(pressed, address, places) {
  const again = pressed === button;
  stop();
  if (again) return;
  stopPlayer();
  button = pressed;
  show(true);
  const awake = sound.wake().then(() => true, () => false);
  const answer = await fetch(address).catch(() => null);
  const schedule = answer?.ok ? /** @type {Schedule} */ (await answer.json()) : null;
  if (!schedule) return stop();
  if (!(await awake)) return tell(pressed, SILENT);
  await sound.prepare(schedule).catch(() => {});
  if (button !== pressed) return;
  sound.schedule = schedule;
  sound.start(0);
  draw(places);
}

/** Tell what is wrong with an exercise that was pressed. @param {Element} pressed @param {string} text */
function tell(pressed, text) {
  if (button === pressed) stop();
  const said = document.querySelector(".practice-said");
  if (!said) return;
  said.textContent = text;
  said.classList.add("wrong");
}

/** Stop what plays. */
export function stop() {
  sound.stop();
  cancelAnimationFrame(frame);
  show(false);
  button = null;
  mark(null);
}

/** What plays at this moment, for tests. */
export function state() {
  return { playing: sound.playing, heard: sound.placeAt(sound.heard()) };
}

/** @param {boolean} playing */
function show(playing) {
  button?.setAttribute("aria-pressed", String(playing));
  const icon = button?.querySelector(".q-icon");
  if (icon) icon.textContent = playing ? "stop" : "play_arrow";
}

/** Mark the chord that is heard. @param {number[]} places */
function draw(places) {
  if (!sound.playing) return;
  const place = sound.placeAt(sound.heard());
  if (place && sound.schedule) {
    const chords = sound.schedule.bars[place.bar].chords;
    const heard = chords.filter(([at]) => at <= place.at + 0.01).pop() ?? chords[0];
    if (heard && !place.counting) {
      const found = document.querySelectorAll(`.practice-pages [data-chord="${heard[1]}"]`);
      mark(found[places[heard[1]]] ?? null);
    }
  }
  frame = requestAnimationFrame(() => draw(places));
}

/** @type {Element | null} */
let marked = null;

/** @param {Element | null} chord */
function mark(chord) {
  if (chord === marked) return;
  marked?.classList.remove("heard");
  marked = chord;
  chord?.classList.add("heard");
  chord?.scrollIntoView({ block: "nearest" });
}
