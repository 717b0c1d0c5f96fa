// @ts-check
/**
 * Plays a schedule: guitar, bass and click on tracks of their own, from any bar, in a loop, at a
 * tempo that changes while it plays.
 *
 * Time on the audio clock is `time`, time within a schedule is `at`, both in seconds. What is
 * played is a row of pieces; each maps a stretch of the audio clock to a stretch of a schedule.
 * Strokes are given to the audio clock a little ahead; a change takes back those still to come.
 */

/** @typedef {{ sound: string, late: number }} Note */
/** @typedef {{ at: number, length: number, part: string, notes: Note[] }} Stroke */
/** @typedef {{ number: number, last_number: number, at: number, length: number, chords: [number, number][], count_in: Stroke[] }} Bar */
/** @typedef {{ tempo: number, length: number, bars: Bar[], strokes: Stroke[], sounds: string[], sections?: [string, number, number][] }} Schedule */
/**
 * A stretch of playing: `from` to `to` of a schedule from `time` on, `rate` times as fast. A
 * count-in has its clicks; it stands before `from`.
 * @typedef {{ time: number, from: number, to: number, rate: number, schedule: Schedule,
 *   done: number, counts: boolean }} Piece
 */
/** @typedef {{ source: AudioBufferSourceNode, gain: GainNode, time: number, piece: Piece, end: number }} Voice */
/** @typedef {{ bar: number, part: number, at: number, counting: boolean }} Place */

export const PARTS = ["guitar", "bass", "click"];
/** How far ahead strokes are given to the audio clock; browsers run hidden pages once a second. */
const AHEAD_S = 0.25;
const AHEAD_HIDDEN_S = 1.6;
const EVERY_MS = 60;
/** What lies so near that it cannot be taken back. */
const SOON_S = 0.03;
/** A hand does not stop a string at once. */
const DAMP_S = 0.07;
/** The sum of a full chord, the bass and the click stays below full scale. */
const MASTER = 0.5;
/** How long the audio clock is waited for, in milliseconds, and what is said when it does not go. */
const WAKE_MS = 3000;
export const SILENT = "The browser finds no way out for sound: switch on a loudspeaker or headphones, and try again.";

export class Sound {
  /** @param {(name: string) => string} address where the sound of a name is found */
  constructor(address) {
    this.address = address;
    /** @type {AudioContext | null} */
    this.context = null;
    /** @type {Map<string, Promise<AudioBuffer>>} */
    this.loading = new Map();
    /** @type {Map<string, AudioBuffer>} */
    this.buffers = new Map();
    /** @type {Map<string, GainNode>} */
    this.tracks = new Map();
    /** @type {Map<string, number>} */
    this.levels = new Map(PARTS.map((part) => [part, 1]));
    /** @type {Schedule | null} */
    this.schedule = null;
    /** @type {[number, number] | null} the first and the last bar of the loop, as they are played */
    this.loop = null;
    this.countIn = true;
    /** @type {Piece[]} */
    this.pieces = [];
    /** @type {Voice[]} */
    this.voices = [];
    this.timer = 0;
    /** Called when a pass begins; gives the schedule of the pass. @type {(last: Schedule) => Schedule} */
    this.nextPass = (last) => last;
    /** Called when the end is reached. @type {() => void} */
    this.ended = () => {};
  }

  /** The audio clock, made at the first gesture. */
  clock() {
    if (!this.context) {
      this.context = new AudioContext({ latencyHint: "interactive" });
      const master = this.context.createGain();
      master.gain.value = MASTER;
      master.connect(this.context.destination);
      for (const part of PARTS) {
        const track = this.context.createGain();
        track.gain.value = this.levels.get(part) ?? 1;
        track.connect(master);
        this.tracks.set(part, track);
      }
    }
    return this.context;
  }

  /**
   * Let the audio clock go. Where there is no way out for sound some browsers never do; that raises
   * an Error, which says so.
   */
  async wake() {
    let timer = 0;
    const late = new Promise((_, reject) => {
      timer = setTimeout(() => reject(new Error(SILENT)), WAKE_MS);
    });
    await Promise.race([this.clock().resume(), late]).finally(() => clearTimeout(timer));
  }

  /** Load the sounds of a schedule that are not there yet. @param {Schedule} schedule */
  async prepare(schedule) {
    const context = this.clock();
    const load = async (/** @type {string} */ name) => {
      const answer = await fetch(this.address(name));
      if (!answer.ok) throw new Error(`no sound ${name}`);
      const buffer = await context.decodeAudioData(await answer.arrayBuffer());
      this.buffers.set(name, buffer);
      return buffer;
    };
    await Promise.all(
      schedule.sounds.map((name) => {
        if (!this.loading.has(name)) {
          const loading = load(name);
          loading.catch(() => this.loading.delete(name));
          this.loading.set(name, loading);
        }
        return this.loading.get(name);
      }),
    );
  }

  get playing() {
    return this.pieces.length > 0;
  }

  /** Set the level of a track, 0 to 1. @param {string} part @param {number} level */
  setLevel(part, level) {
    this.levels.set(part, level);
    const track = this.tracks.get(part);
    if (track && this.context) track.gain.setTargetAtTime(level, this.context.currentTime, 0.01);
  }

  /** Start at a bar, as they are played, with its count-in if that is wished. @param {number} bar */
  start(bar) {
    const schedule = this.schedule;
    if (!schedule) return;
    const context = this.clock();
    this.silence(context.currentTime);
    let time = context.currentTime + SOON_S * 2;
    const first = schedule.bars[bar];
    if (this.countIn && first.count_in.length) {
      const length = -first.count_in[0].at;
      this.pieces.push({
        time, from: first.at - length, to: first.at, rate: 1, schedule, done: -Infinity, counts: true,
      });
      time += length;
    }
    this.pieces.push(this.piece(schedule, time, first.at));
    clearInterval(this.timer);
    this.timer = setInterval(() => this.fill(), EVERY_MS);
    this.fill();
  }

  /** @param {Schedule} schedule @param {number} time @param {number} from @param {number} rate @returns {Piece} */
  piece(schedule, time, from, rate = 1) {
    let to = schedule.length;
    if (this.loop) {
      const last = schedule.bars[this.loop[1]];
      if (from < last.at + last.length) to = last.at + last.length;
    }
    return { time, from, to, rate, schedule, done: -Infinity, counts: false };
  }

  stop() {
    clearInterval(this.timer);
    if (this.context) this.silence(this.context.currentTime);
  }

  /** Take back everything and damp what sounds. @param {number} time */
  silence(time) {
    this.pieces = [];
    for (const voice of this.voices) damp(voice, time);
    this.voices = [];
  }

  /** Go to a bar while playing, without a count-in. @param {number} bar */
  jump(bar) {
    if (!this.playing || !this.schedule || !this.context) return;
    const time = this.context.currentTime + SOON_S;
    const schedule = this.schedule;
    this.silence(time);
    this.pieces = [this.piece(schedule, time, schedule.bars[bar].at)];
    this.fill();
  }

  /**
   * Go on in another schedule at the same place, or in the same one at another rate.
   * @param {Schedule} schedule @param {number} rate
   */
  retime(schedule, rate = 1) {
    this.schedule = schedule;
    if (!this.playing || !this.context) return;
    const time = this.context.currentTime + SOON_S;
    const place = this.placeAt(time);
    const current = this.pieceAt(time);
    if (!place || !current) return;
    if (current.counts) {
      // The count-in goes on as it was begun; what follows it is in the new schedule.
      const end = pieceEnd(current);
      this.takeBack(end - 0.001);
      const bar = place.bar < schedule.bars.length ? schedule.bars[place.bar] : schedule.bars[0];
      this.pieces = [current, this.piece(schedule, end, bar.at, rate)];
    } else {
      this.takeBack(time);
      const next = this.piece(schedule, time, placeIn(schedule, place), rate);
      // Strokes that sound already are not struck again, but end in the new time.
      next.done = next.from;
      for (const voice of this.voices) {
        const left = Math.max(0, voice.end - place.at);
        const scale = schedule.length / current.schedule.length / rate;
        redamp(voice, time, time + left * scale);
      }
      current.to = place.at;
      this.pieces = [next];
    }
    this.fill();
  }

  /** Take back the strokes from a time on. @param {number} time */
  takeBack(time) {
    for (const voice of this.voices) {
      if (voice.time >= time) voice.source.stop(voice.time);
    }
    this.voices = this.voices.filter((voice) => voice.time < time);
  }

  /** Give the audio clock what comes next. */
  fill() {
    if (!this.context) return;
    const now = this.context.currentTime;
    const until = now + (document.hidden ? AHEAD_HIDDEN_S : AHEAD_S);
    for (let place = 0; place < this.pieces.length; place++) {
      const piece = this.pieces[place];
      if (piece.time < until) this.strike(piece, until);
      if (place === this.pieces.length - 1 && pieceEnd(piece) < until && this.loop) {
        const schedule = this.nextPass(piece.schedule);
        this.schedule = schedule;
        this.pieces.push(this.piece(schedule, pieceEnd(piece), schedule.bars[this.loop[0]].at));
      }
    }
    this.pieces = this.pieces.filter((piece) => pieceEnd(piece) > now - 0.5);
    this.voices = this.voices.filter((voice) => voice.time > now - 8);
    if (!this.pieces.some((piece) => pieceEnd(piece) > now)) {
      clearInterval(this.timer);
      this.pieces = [];
      this.ended();
    }
  }

  /** Strike what a piece has until a time. @param {Piece} piece @param {number} until */
  strike(piece, until) {
    const start = piece.done;
    const end = Math.min(piece.to, piece.from + (until - piece.time) * piece.rate);
    if (piece.counts) {
      for (const stroke of bar(piece).count_in) {
        const at = piece.to + stroke.at;
        if (at > start && at <= end) this.sound({ ...stroke, at }, piece);
      }
    } else {
      for (const stroke of piece.schedule.strokes) {
        if (stroke.at >= end) continue;
        // What rings into the first bar is struck with it.
        const rings = start === -Infinity && stroke.at + stroke.length > piece.from + 0.05;
        if (stroke.at >= Math.max(start, piece.from)) this.sound(stroke, piece);
        else if (rings && stroke.at < piece.from) {
          const length = stroke.at + stroke.length - piece.from;
          this.sound({ ...stroke, at: piece.from, length }, piece);
        }
      }
    }
    piece.done = Math.max(end, start);
  }

  /** @param {Stroke} stroke @param {Piece} piece */
  sound(stroke, piece) {
    const context = this.clock();
    const track = this.tracks.get(stroke.part);
    const start = piece.time + (stroke.at - piece.from) / piece.rate;
    // Nothing rings on from the end of a loop into its beginning.
    const length = piece.counts ? stroke.length : Math.min(stroke.length, piece.to - stroke.at);
    for (const note of stroke.notes) {
      const buffer = this.buffers.get(note.sound);
      if (!buffer || !track) continue;
      const source = context.createBufferSource();
      const gain = context.createGain();
      source.buffer = buffer;
      source.connect(gain).connect(track);
      const time = Math.max(start + note.late, context.currentTime);
      source.start(time);
      const voice = { source, gain, time, piece, end: stroke.at + length };
      redamp(voice, time, start + length / piece.rate);
      this.voices.push(voice);
    }
  }

  /** The piece that sounds at a time. @param {number} time */
  pieceAt(time) {
    return this.pieces.find((piece) => time < pieceEnd(piece)) ?? null;
  }

  /** The place in the tune at a time, null where nothing plays. @param {number} time @returns {Place | null} */
  placeAt(time) {
    const piece = this.pieceAt(time);
    if (!piece) return null;
    const at = piece.from + Math.max(0, time - piece.time) * piece.rate;
    if (piece.counts) return { bar: piece.schedule.bars.indexOf(bar(piece)), part: 0, at, counting: true };
    const bars = piece.schedule.bars;
    let index = bars.length - 1;
    while (index > 0 && bars[index].at > at + 1e-6) index--;
    return { bar: index, part: (at - bars[index].at) / bars[index].length, at, counting: false };
  }

  /** The audio clock as it is heard: what is scheduled for now sounds after the output's delay. */
  heard() {
    return this.context ? this.context.currentTime - (this.context.outputLatency || 0) : 0;
  }
}

/** @param {Piece} piece */
function pieceEnd(piece) {
  return piece.time + (piece.to - piece.from) / piece.rate;
}

/** The bar that a count-in leads to. @param {Piece} piece @returns {Bar} */
function bar(piece) {
  return piece.schedule.bars.find((each) => each.at >= piece.to - 1e-6) ?? piece.schedule.bars[0];
}

/** The same place in another schedule. @param {Schedule} schedule @param {Place} place */
function placeIn(schedule, place) {
  const found = schedule.bars[Math.min(place.bar, schedule.bars.length - 1)];
  return found.at + place.part * found.length;
}

/** @param {Voice} voice @param {number} time */
function damp(voice, time) {
  if (voice.time >= time) voice.source.stop(voice.time);
  else redamp(voice, time, time);
}

/** Let a voice end at a time. @param {Voice} voice @param {number} now @param {number} end */
function redamp(voice, now, end) {
  const level = voice.gain.gain;
  const from = Math.max(end, now);
  level.cancelScheduledValues(now);
  level.setValueAtTime(1, from);
  level.linearRampToValueAtTime(0, from + DAMP_S);
  try {
    voice.source.stop(from + DAMP_S);
  } catch {
    // It has ended by itself.
  }
}
