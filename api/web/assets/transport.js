// Play and stop, from anywhere, once or round and round, at any tempo.
import { Player } from './player.js';
import { Tune } from './tune.js';

export class Transport {
  changed = () => {}; // playing began or stopped
  rung = () => {}; // the ladder reached a tempo
  hushed = () => {}; // the note that was to be heard alone is over
  #player = new Player();
  #notes = new Player(); // for single notes, which interrupt nothing
  #practise;
  #options;
  #tune = null; // the whole
  #loading = 0;

  constructor(practise, options, failed) {
    this.#practise = practise;
    this.#options = options;
    this.failed = failed;
    this.#player.ended = () => this.changed();
    this.#notes.ended = () => this.hushed();
    this.#player.failed = (error) => { this.changed(); failed(error); };
  }

  get playing() { return this.#player.playing || this.#loading > 0; }
  get tune() { return this.#tune; }

  // What is heard now: the tune that plays and the second of its sound.
  heard() {
    const place = this.#player.playing ? this.#player.place() : null;
    return place ? { tune: place.segment.tag, seconds: place.seconds } : null;
  }

  beat() {
    const heard = this.heard();
    return heard ? heard.tune.beats.at(heard.seconds) : 0;
  }

  // Somebody is about to play: the sound is fetched so that it comes at once, and
  // the way out for it is opened, which takes longer than the fetching. A browser
  // that nobody has touched yet would not let it be opened.
  prepare() {
    if (navigator.userActivation?.hasBeenActive) this.#player.context;
    if (!this.playing && !this.#practise.on) this.#tune?.wave(this.#options).catch(() => {});
  }

  // The text or a setting is another; what plays goes on at the same beat.
  async swap(tune) {
    const again = this.playing;
    this.#tune = tune;
    if (again) await this.play(() => this.beat());
  }

  stop() {
    this.#loading = 0;
    this.#player.stop();
    this.changed();
  }

  // Plays from a beat on, or from the beginning with its count-in. The beat may
  // be a function: then it is asked for when the sound is there, and what plays
  // until then goes on.
  async play(beat = null) {
    const mine = ++this.#loadings;
    this.#loading = mine;
    this.changed();
    try {
      const range = this.#practise.on ? this.#practise.range : null;
      await (range ? this.#loop(range, beat, mine) : this.#once(beat, mine));
    } catch (error) {
      if (this.#loading === mine) this.#player.stop();
      this.failed(error);
    } finally {
      if (this.#loading === mine) this.#loading = 0;
      this.changed();
    }
  }

  #loadings = 0;

  async #once(beat, mine) {
    const tune = this.#tune;
    const wave = await tune.wave(this.#options);
    if (typeof beat === 'function') await wave.ready(wave.rate * (tune.beats.seconds(beat()) + 1));
    if (this.#loading !== mine) return;
    await this.#player.play(wave, offsetOf(beat, tune.beats), tune);
  }

  // Goes round; on a ladder each rung hands over to the next at a seam.
  async #loop(range, beat, mine) {
    const { request, score } = this.#tune;
    const ladder = this.#practise.ladder;
    let percent = ladder ? ladder.start : 100;
    let tune = await this.#part(range, score.tempo * percent / 100, beat === null ? request.count_in ?? 0 : 0);
    const wave = await tune.wave(this.#options);
    await wave.ready(wave.rate * tune.round.end);
    if (this.#loading !== mine) return;
    const now = typeof beat === 'function' ? beat() : beat;
    const inside = now !== null && now >= range.from && now < range.to;
    const offset = inside ? tune.beats.seconds(now) : 0;
    const segment = await this.#player.loop(wave, offset, tune.round, tune);
    if (!segment) return;
    this.rung(ladder ? percent : null, tune.score.tempo);
    if (ladder) this.#climb(range, ladder, percent, segment, segment.when + tune.beats.zero - offset, tune);
  }

  #part(range, tempo, countIn) {
    const bounded = Math.min(400, Math.max(20, Number(tempo.toFixed(3))));
    return Tune.part(this.#tune.request, range, bounded, countIn, this.#options);
  }

  // Gets the next rung ready while this one goes round, and hands over to it
  // when this one has gone round often enough. begun is when round one began.
  async #climb(range, ladder, percent, segment, begun, tune) {
    if (percent >= 100) return;
    const next = Math.min(100, percent + ladder.step);
    try {
      const higher = await this.#part(range, this.#tune.score.tempo * next / 100, 0);
      const wave = await higher.wave(this.#options);
      await wave.finished;
      if (this.#player.place()?.segment !== segment) return;
      const rounds = Math.max(ladder.rounds, Math.ceil((this.#player.context.currentTime + 0.1 - begun) / tune.beats.length));
      const at = begun + rounds * tune.beats.length;
      const raised = await this.#player.loop(wave, higher.round.start, higher.round, higher, at);
      if (!raised) return;
      setTimeout(() => {
        if (this.#player.place()?.segment !== raised) return;
        this.rung(next, higher.score.tempo);
        this.#climb(range, ladder, next, raised, at, higher);
      }, 1000 * (at - this.#player.context.currentTime) + 100);
    } catch (error) {
      this.failed(error);
    }
  }

  // One word of tab on its own.
  async hear(word) {
    const request = { ...this.#tune?.request, tab: word + '-', convention: 'signs', tempo: 120 };
    for (const name of ['count_in', 'click', 'metre', 'swing', 'brackets', 'from', 'to', 'backing', 'mix', 'strict']) delete request[name];
    try {
      const tune = await Tune.open(request, this.#options);
      await this.#notes.play(await tune.wave(this.#options), 0, tune);
    } catch (error) {
      this.hushed();
      this.failed(error);
    }
  }
}

// Where in a sound to begin: a note with its attack, a place on the way exactly.
function offsetOf(beat, beats) {
  if (beat === null) return 0;
  return typeof beat === 'function' ? beats.seconds(beat()) : Math.max(0, beats.seconds(beat) - 0.015);
}
