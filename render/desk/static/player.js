// @ts-check
/**
 * The player's controls, and its cursor on the page: what is heard is marked on the bars of the
 * page, by the audio clock. The page's bars are elements with `data-bar`, its chords with
 * `data-chord`.
 */
import { PARTS, SILENT, Sound } from "./sound.js";

/** @typedef {import("./sound.js").Schedule} Schedule */
/** @typedef {{ schedule: string, sounds: string, tools: boolean }} Addresses */

/** @type {Player | null} */
let player = null;

/**
 * Bring the player to life on its element.
 * @param {string} selector
 * @param {Addresses} addresses `schedule` gives a schedule, with `tempo` in its query; `sounds` is
 *   the folder of the sounds; without `tools` arrow keys and drags are left to the page
 */
export function attach(selector, addresses) {
  const root = document.querySelector(selector);
  if (root instanceof HTMLElement && player?.root !== root) player = new Player(root, addresses);
  return player;
}

/** The tune has changed: ask for its schedule anew. @param {boolean} other another tune */
export function changed(other) {
  player?.changed(other);
}

/** Stop the tune. */
export function stop() {
  if (player?.sound.playing) player.stop();
}

/** What is heard and what is shown at this moment. */
export function state() {
  return player?.state() ?? null;
}

/**
 * Show a bar that is played elsewhere, unless the player plays itself.
 * @param {number | null} number of the bar, null for none @param {number} part of it that is over
 */
export function follow(number, part) {
  player?.showOther(number, part);
}

/** The room of a label on the strip, in pixels. */
const LABEL_PX = 56;

/**
 * A bar as it is played: its written number, and that it is played again: "1", "1 again", "1 (3rd)".
 * @param {Schedule} schedule @param {number} index
 */
function nameOf(schedule, index) {
  const { number } = schedule.bars[index];
  const times = schedule.bars.slice(0, index + 1).filter((bar) => bar.number === number).length;
  if (times === 1) return String(number);
  return times === 2 ? `${number} again` : `${number} (${times}${times === 3 ? "rd" : "th"})`;
}

class Player {
  /** @param {HTMLElement} root @param {Addresses} addresses */
  constructor(root, addresses) {
    this.root = root;
    this.addresses = addresses;
    this.sound = new Sound((name) => `${addresses.sounds}/${name}.wav`);
    this.bar = 0;
    this.tempo = 0;
    /** Whether the tempo was chosen here; else it is that of the sheet. */
    this.chosen = false;
    /** The ask that was made last; answers to older ones are dropped. */
    this.asked = 0;
    this.frame = 0;
    /** @type {Schedule | null} that of the next step of the ladder */
    this.comingSchedule = null;
    this.pages = document.querySelector(".pages");
    this.line = document.createElement("div");
    this.line.className = "play-line";
    this.box = document.createElement("div");
    this.box.className = "play-bar";
    for (const mark of [this.box, this.line]) {
      mark.setAttribute("aria-hidden", "true");
      mark.hidden = true;
    }
    this.pages?.append(this.box, this.line);
    this.shown = { bar: -1, part: -1 };
    this.sound.nextPass = (last) => this.nextPass(last);
    this.sound.ended = () => this.stop();
    this.listen();
    this.changed(true);
  }

  /** A control by its name. @param {string} name @returns {any} */
  control(name) {
    return this.root.querySelector(`[data-player="${name}"]`);
  }

  listen() {
    const on = (/** @type {string} */ name, /** @type {string} */ event, /** @type {() => void} */ then) =>
      this.control(name)?.addEventListener(event, then);
    on("play", "click", () => this.toggle());
    on("tempo", "input", () => this.setTempo(Number(this.control("tempo").value)));
    on("first", "change", () => this.readLoop());
    on("last", "change", () => this.readLoop());
    on("loop", "change", () => this.chooseLoop(this.control("loop").value));
    on("count", "change", () => (this.sound.countIn = this.control("count").checked));
    for (const part of PARTS) {
      const level = this.control(`level-${part}`);
      const on_off = this.control(`on-${part}`);
      const set = () => this.sound.setLevel(part, on_off.checked ? Number(level.value) / 100 : 0);
      level?.addEventListener("input", set);
      on_off?.addEventListener("change", set);
    }
    document.addEventListener("keydown", (event) => this.key(event));
    this.root.addEventListener("pointerenter", () => this.warm(), { once: true });
    this.root.addEventListener("focusin", () => this.warm(), { once: true });
    this.listenStrip();
    if (this.addresses.tools) this.listenPages();
  }

  /** A click on the strip goes to a bar, a drag over it makes a loop. */
  listenStrip() {
    const strip = this.control("strip");
    if (!strip) return;
    new ResizeObserver(() => this.showBars()).observe(strip);
    let from = -1;
    const bar = (/** @type {PointerEvent} */ event) => {
      const box = strip.getBoundingClientRect();
      const count = this.sound.schedule?.bars.length ?? 1;
      const place = Math.floor(((event.clientX - box.left) / box.width) * count);
      return Math.max(0, Math.min(count - 1, place));
    };
    strip.addEventListener("pointerdown", (/** @type {PointerEvent} */ event) => {
      from = bar(event);
      strip.setPointerCapture(event.pointerId);
    });
    strip.addEventListener("pointerup", (/** @type {PointerEvent} */ event) => {
      const to = bar(event);
      if (from < 0) return;
      if (to === from) this.go(to);
      else this.setLoop([Math.min(from, to), Math.max(from, to)]);
      from = -1;
    });
  }

  /** A drag from one bar of the page to another makes a loop. */
  listenPages() {
    /** @type {string | null} */
    let from = null;
    const bar = (/** @type {PointerEvent} */ event) => {
      const under = document.elementsFromPoint(event.clientX, event.clientY);
      const found = under.map((each) => each.closest("[data-bar]")).find(Boolean);
      return found?.getAttribute("data-bar") ?? this.barUnder(event.clientX, event.clientY);
    };
    this.pages?.addEventListener("pointerdown", (event) => {
      from = bar(/** @type {PointerEvent} */ (event));
    });
    this.pages?.addEventListener("pointerup", (event) => {
      const to = bar(/** @type {PointerEvent} */ (event));
      if (from !== null && to !== null && from !== to) this.loopNumbers(Number(from), Number(to));
      from = null;
    });
  }

  /** The number of the bar of the page at a point. @param {number} x @param {number} y */
  barUnder(x, y) {
    for (const bar of document.querySelectorAll(".pages g.bar[data-bar]")) {
      const box = bar.getBoundingClientRect();
      if (x >= box.left && x <= box.right && y >= box.top && y <= box.bottom) {
        return bar.getAttribute("data-bar");
      }
    }
    return null;
  }

  /** Space starts and stops, arrows go to the next bar and back, where no control wants them. @param {KeyboardEvent} event */
  key(event) {
    const target = /** @type {HTMLElement} */ (event.target);
    if (event.defaultPrevented || event.ctrlKey || event.altKey || event.metaKey) return;
    if (target.closest("input, textarea, select, button, a, [contenteditable=true], [role=textbox], [role=dialog]")) return;
    if (event.key === " ") this.toggle();
    else if (!this.addresses.tools) return;
    else if (event.key === "ArrowRight") this.go(this.bar + 1);
    else if (event.key === "ArrowLeft") this.go(this.bar - 1);
    else return;
    event.preventDefault();
  }

  /** Load the sounds before they are needed. */
  warm() {
    const schedule = this.sound.schedule;
    if (schedule) this.sound.prepare(schedule).catch(() => {});
  }

  /** @param {boolean} other */
  async changed(other) {
    this.comingSchedule = null;
    if (other) this.clear();
    const schedule = await this.ask(this.chosen ? this.tempo : null);
    if (schedule) await this.take(schedule, other);
  }

  /** Let go of the tune: one that has mistakes when it is opened has nothing to play. */
  clear() {
    this.stop();
    this.bar = this.tempo = 0;
    this.chosen = false;
    this.dropLoop();
    this.sound.schedule = null;
    this.root.classList.remove("ready");
    this.control("place").textContent = "bar 1";
    this.control("beats").textContent = "";
    this.showBars();
    this.showLoop();
  }

  /**
   * The schedule at a tempo, null where the tune has none or a later ask overtook this one.
   * @param {number | null} tempo null for that of the sheet
   * @returns {Promise<Schedule | null>}
   */
  async ask(tempo) {
    const turn = ++this.asked;
    const schedule = await this.fetchSchedule(tempo);
    return turn === this.asked ? schedule : null;
  }

  /** @param {number | null} tempo @returns {Promise<Schedule | null>} */
  async fetchSchedule(tempo) {
    const address = new URL(this.addresses.schedule, location.href);
    if (tempo) address.searchParams.set("tempo", String(tempo));
    // A server that has ended answers nothing: the player keeps what it has.
    const answer = await fetch(address).catch(() => null);
    return answer?.ok ? answer.json() : null;
  }

  /** @param {Schedule} schedule @param {boolean} other */
  async take(schedule, other) {
    if (this.sound.playing) await this.sound.prepare(schedule);
    if (other || !this.chosen) {
      this.tempo = schedule.tempo;
      this.control("tempo").value = String(schedule.tempo);
    }
    const bars = schedule.bars.length;
    if (this.sound.loop && this.sound.loop[1] >= bars) this.dropLoop();
    this.bar = Math.min(this.bar, bars - 1);
    this.sound.retime(schedule);
    this.root.classList.add("ready");
    this.showBars();
    this.showLoop();
    this.showPlace();
  }

  /** A new tempo sounds at once at the old swing, and with its own as soon as that is there. @param {number} tempo */
  async setTempo(tempo) {
    const now = this.sound.schedule;
    if (!now || !(tempo >= 20 && tempo <= 400)) return;
    this.tempo = tempo;
    this.chosen = true;
    this.comingSchedule = null;
    if (this.sound.playing) this.sound.retime(now, tempo / now.tempo);
    this.showPlace();
    const schedule = await this.ask(tempo);
    if (schedule) await this.take(schedule, false);
  }

  async toggle() {
    if (this.sound.playing) {
      this.stop();
      return;
    }
    const button = this.control("play");
    if (button.hasAttribute("aria-busy")) return;
    button.setAttribute("aria-busy", "true");
    try {
      await this.sound.wake();
      // What was typed last is asked for when typing pauses, and when it is to be played.
      await this.changed(false);
      if (!this.sound.schedule) return;
      await this.sound.prepare(this.sound.schedule);
    } catch (error) {
      this.say(error instanceof Error && error.message === SILENT ? SILENT : "The sound cannot be loaded.");
      return;
    } finally {
      button.removeAttribute("aria-busy");
    }
    const loop = this.sound.loop;
    if (loop && (this.bar < loop[0] || this.bar > loop[1])) this.bar = loop[0];
    this.sound.start(this.bar);
    this.showPlaying(true);
    this.askNext();
    this.draw();
  }

  stop() {
    this.sound.stop();
    cancelAnimationFrame(this.frame);
    this.box.hidden = this.line.hidden = true;
    this.shown = { bar: -1, part: -1 };
    this.showPlaying(false);
  }

  /** @param {boolean} playing */
  showPlaying(playing) {
    const button = this.control("play");
    button.setAttribute("aria-label", playing ? "Stop" : "Play");
    button.classList.toggle("on", playing);
    if (!playing) this.tell(null);
  }

  /** @param {number} bar as they are played */
  go(bar) {
    const count = this.sound.schedule?.bars.length ?? 0;
    if (bar < 0 || bar >= count) return;
    this.bar = bar;
    this.sound.jump(bar);
    this.showPlace();
    if (!this.sound.playing) this.mark(bar, 0);
  }

  /** @param {[number, number] | null} loop */
  setLoop(loop) {
    if (loop) this.sound.loop = loop;
    else this.dropLoop();
    if (loop && this.sound.playing) {
      this.go(this.bar < loop[0] || this.bar > loop[1] ? loop[0] : this.bar);
    } else if (this.sound.playing) this.go(this.bar);
    this.showLoop();
  }

  /** A loop over the numbers of bars: the first playing of the one to the next of the other. @param {number} first @param {number} last */
  loopNumbers(first, last) {
    const bars = this.sound.schedule?.bars ?? [];
    const [low, high] = [Math.min(first, last), Math.max(first, last)];
    const from = bars.findIndex((bar) => bar.number <= low && low <= bar.last_number);
    const to = bars.findIndex((bar, place) => place >= from && bar.number <= high && high <= bar.last_number);
    if (from >= 0 && to >= 0) this.setLoop([from, to]);
    else this.say("These bars are not played one after the other.");
  }

  /** No loop any more. */
  dropLoop() {
    this.sound.loop = null;
    for (const name of ["first", "last"]) {
      const field = this.control(name);
      if (field) field.value = "";
    }
  }

  readLoop() {
    const [first, last] = [this.control("first").value, this.control("last").value];
    if (first && last) this.loopNumbers(Number(first), Number(last));
    else if (!first && !last) this.setLoop(null);
  }

  showLoop() {
    const { loop, schedule } = this.sound;
    const region = this.control("region");
    if (!region) return;
    region.hidden = !loop;
    if (!schedule) return this.showLoops("");
    const count = schedule.bars.length;
    if (loop) {
      region.style.left = `${(loop[0] / count) * 100}%`;
      region.style.width = `${((loop[1] + 1 - loop[0]) / count) * 100}%`;
    }
    // Without a loop one of the fields may be filled, and the other about to be.
    if (!loop) return this.showLoops("");
    const [first, last] = [schedule.bars[loop[0]].number, schedule.bars[loop[1]].last_number];
    this.control("first").value = first;
    this.control("last").value = last;
    this.showLoops(`${first}-${last}`);
  }

  /** What can be looped: nothing, a section, or the bars that were chosen. @param {string} chosen */
  showLoops(chosen) {
    const offered = [["", "off"]];
    for (const [label, first, last] of this.sound.schedule?.sections ?? []) {
      const bars = first === last ? `bar ${first}` : `bars ${first}–${last}`;
      offered.push([`${first}-${last}`, label ? `${label}, ${bars}` : bars]);
    }
    if (!offered.some(([value]) => value === chosen)) offered.push([chosen, `bars ${chosen.replace("-", "–")}`]);
    const select = this.control("loop");
    select.replaceChildren(...offered.map(([value, text]) => new Option(text, value)));
    select.value = chosen;
  }

  /** @param {string} bars the numbers of the first and the last one, "" for no loop */
  chooseLoop(bars) {
    if (!bars) return this.setLoop(null);
    const [first, last] = bars.split("-").map(Number);
    this.loopNumbers(first, last);
  }

  /** The names of bars on the strip: of every eighth, or of fewer where they need more room. */
  showBars() {
    const strip = this.control("strip");
    const { schedule } = this.sound;
    if (!strip) return;
    strip.querySelectorAll("span").forEach((/** @type {Element} */ old) => old.remove());
    if (!schedule) return;
    const count = schedule.bars.length;
    strip.style.setProperty("--bars", String(count));
    const fit = Math.max(1, Math.floor(strip.clientWidth / LABEL_PX));
    const step = 8 * Math.ceil(count / 8 / fit);
    for (let bar = 0; bar < count; bar += step) {
      const label = document.createElement("span");
      label.textContent = nameOf(schedule, bar);
      label.style.left = `${(bar / count) * 100}%`;
      strip.append(label);
    }
  }

  /** @param {string} text */
  say(text) {
    this.control("said").textContent = text;
  }

  /** The schedule of the next pass: that of the ladder's next step once it is there. @param {Schedule} last @returns {Schedule} */
  nextPass(last) {
    const next = this.comingSchedule;
    this.comingSchedule = null;
    if (next) {
      this.tempo = next.tempo;
      this.chosen = true;
      this.control("tempo").value = String(next.tempo);
    }
    setTimeout(() => this.askNext(), 0);
    return next ?? last;
  }

  /** Ask for the schedule of the ladder's next step before it is needed. */
  async askNext() {
    const step = Number(this.control("step")?.value);
    const goal = Number(this.control("goal")?.value);
    const tempo = this.tempo;
    if (!step || !this.sound.loop || tempo >= goal) return;
    const schedule = await this.fetchSchedule(Math.min(goal, tempo + step));
    if (schedule && this.tempo === tempo) this.comingSchedule = schedule;
  }

  showPlace() {
    const { schedule } = this.sound;
    if (!schedule) return;
    const text = `bar ${nameOf(schedule, this.bar)}`;
    const shown = this.control("place");
    if (shown.textContent !== text) shown.textContent = text;
    this.control("beats").textContent = `${this.tempo} a minute`;
    const needle = this.control("needle");
    if (needle) needle.style.left = `${(this.bar / schedule.bars.length) * 100}%`;
  }

  /** Draw the cursor where the audio clock is, picture by picture. */
  draw() {
    if (!this.sound.playing) return;
    const place = this.sound.placeAt(this.sound.heard());
    if (place) {
      if (place.bar !== this.bar) this.bar = place.bar;
      const begins = place.bar !== this.shown.bar || place.part < this.shown.part;
      if (begins && !place.counting) this.tell(place.bar);
      this.showPlace();
      this.mark(place.bar, place.part);
      this.root.classList.toggle("counting", place.counting);
    }
    this.frame = requestAnimationFrame(() => this.draw());
  }

  /** Tell the desk which bar begins, so that stands follow. @param {number | null} index null where it stops */
  tell(index) {
    const bar = index === null ? null : this.sound.schedule?.bars[index];
    const rate = this.tempo / (this.sound.schedule?.tempo ?? this.tempo);
    if (this.addresses.tools) {
      // @ts-ignore: given by the page
      emitEvent("desk_playing", bar ? { bar: bar.number, length: bar.length / rate } : {});
    }
  }

  /** Show a bar that is played elsewhere. @param {number | null} number @param {number} part */
  showOther(number, part) {
    if (this.sound.playing) return;
    const index = this.sound.schedule?.bars.findIndex((bar) => bar.number === number) ?? -1;
    if (index >= 0) this.mark(index, part);
    else if (this.shown.bar >= 0) {
      this.box.hidden = this.line.hidden = true;
      this.shown = { bar: -1, part: -1 };
    }
  }

  /** Mark a place on the page. @param {number} index @param {number} part of the bar that is over */
  mark(index, part) {
    const bar = this.sound.schedule?.bars[index];
    const element = document.querySelector(`.pages g.bar[data-bar="${bar?.number}"]`);
    const pages = this.pages;
    if (!bar || !element || !pages) {
      this.box.hidden = this.line.hidden = true;
      return;
    }
    if (!this.box.isConnected) pages.append(this.box, this.line);
    const box = element.getBoundingClientRect();
    const own = pages.getBoundingClientRect();
    const left = box.left - own.left + pages.scrollLeft;
    const top = box.top - own.top + pages.scrollTop;
    this.box.hidden = this.line.hidden = false;
    this.box.style.cssText = `transform:translate(${left}px,${top}px);width:${box.width}px;height:${box.height}px`;
    const x = left + part * box.width;
    this.line.style.cssText = `transform:translate(${x}px,${top}px);height:${box.height}px`;
    if (this.shown.bar !== index) this.follow(box, own);
    this.shown = { bar: index, part };
  }

  /** Keep the bar in sight. @param {DOMRect} box @param {DOMRect} own */
  follow(box, own) {
    const top = Math.max(own.top, 0);
    const bottom = Math.min(own.bottom, this.root.getBoundingClientRect().top);
    if (!this.pages || (box.top >= top && box.bottom <= bottom)) return;
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const by = box.top - top - Math.max(0, bottom - top) / 4;
    // In narrow windows the pages stand at full height, and the window scrolls.
    const scrolls = this.pages.scrollHeight > this.pages.clientHeight ? this.pages : window;
    scrolls.scrollBy({ top: by, behavior: still ? "auto" : "smooth" });
  }

  state() {
    const time = this.sound.heard();
    return {
      playing: this.sound.playing,
      time,
      heard: this.sound.placeAt(time),
      shown: this.shown,
      bar: this.bar,
      tempo: this.tempo,
      loop: this.sound.loop,
      schedule: this.sound.schedule,
    };
  }
}
