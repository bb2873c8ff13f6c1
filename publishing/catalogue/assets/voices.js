/* A diagram in sound: every pipe that speaks is one steady tone of its family, at the pitch recorded.
   Spectra are our own sketches of how families differ, not measurements. A pipe that is called twice is
   one tone, no louder: tones are kept by pipe, never by call. */
"use strict";
(function () {
  /** Strengths of the partials, the fundamental first. */
  const SPECTRA = {
    principal: [1, .55, .36, .22, .15, .1, .06, .04],
    flute: [1, .26, .12, .05, .02],
    stopped: [1, .03, .24, .02, .08, .01, .03],
    string: [.65, .8, .74, .6, .46, .36, .27, .2, .15, .11, .08, .06],
    reed: [.75, 1, .94, .82, .7, .6, .5, .42, .35, .29, .24, .2, .16, .13, .1, .08],
  };
  const FULL = .11, MURMUR = .014;
  const ATTACK = .03, RELEASE = .09;

  /** Frequency of a note (69 = a') in hertz: a' as recorded, and how far each of the twelve notes
      lies from equal temperament, in cents, a' being the same in both. */
  function pitchOf(tuning, note) {
    const cents = 100 * (note - 69) + tuning.departures[((note % 12) + 12) % 12];
    return tuning.a1 * 2 ** (cents / 1200);
  }

  const waves = new WeakMap();
  function waveOf(context, family) {
    if (!waves.has(context)) waves.set(context, new Map());
    const made = waves.get(context);
    if (!made.has(family)) {
      const partials = SPECTRA[family] || SPECTRA.principal;
      const power = Math.sqrt(partials.reduce((sum, one) => sum + one * one, 0));
      const imaginary = new Float32Array([0, ...partials.map(one => one / power)]);
      made.set(family, context.createPeriodicWave(new Float32Array(imaginary.length), imaginary, { disableNormalization: true }));
    }
    return made.get(family);
  }

  /** What is to be heard: one tone for each pipe and note, loud or faint. */
  function tonesOf(scheme, heard, levels, tuning) {
    const tones = new Map();
    const add = (rank, pipe, note, level) => {
      if (note === null || note === undefined) return;
      const family = (scheme.ranks[scheme.place.get(rank)] || {}).voice || "principal";
      tones.set(rank + ":" + pipe + "@" + note, { hz: pitchOf(tuning, note), family, level });
    };
    for (const { rank, pipe, notes, id } of heard.pipes) {
      const level = levels ? levels.get(id) || 0 : 2;
      if (level) notes.forEach(note => add(rank, pipe, note, level));
    }
    const asked = new Set(heard.pipes.map(pipe => pipe.id));
    for (const [id, level] of levels || []) {
      if (asked.has(id)) continue;
      const colon = id.lastIndexOf(":");
      const rank = id.slice(0, colon), pipe = Number(id.slice(colon + 1));
      add(rank, pipe, (scheme.ranks[scheme.place.get(rank)] || { notes: [] }).notes[pipe - 1], level);
    }
    return tones;
  }

  /** Starts one tone; the answer ends it softly. */
  function startTone(context, out, tone, when) {
    const source = context.createOscillator();
    source.setPeriodicWave(waveOf(context, tone.family));
    source.frequency.value = tone.hz;
    const gain = context.createGain();
    const strength = tone.level === 2 ? FULL : MURMUR;
    gain.gain.setValueAtTime(0, when);
    gain.gain.linearRampToValueAtTime(strength, when + ATTACK);
    source.connect(gain).connect(out);
    source.start(when);
    return end => {
      gain.gain.cancelScheduledValues(end);
      gain.gain.setTargetAtTime(0, end, RELEASE / 3);
      source.stop(end + RELEASE * 2);
    };
  }

  /** Tones sounding now; `play` changes them to what is asked, leaving alone those that stay. */
  class Voices {
    constructor() {
      this.context = new AudioContext();
      const limiter = this.context.createDynamicsCompressor();
      limiter.threshold.value = -8;
      limiter.ratio.value = 20;
      limiter.connect(this.context.destination);
      this.out = limiter;
      this.sounding = new Map();
    }

    play(tones) {
      const now = this.context.currentTime + .005;
      for (const [id, { tone, end }] of this.sounding) {
        const wanted = tones.get(id);
        if (wanted && wanted.level === tone.level) continue;
        end(now);
        this.sounding.delete(id);
      }
      for (const [id, tone] of tones) {
        if (!this.sounding.has(id)) this.sounding.set(id, { tone, end: startTone(this.context, this.out, tone, now) });
      }
    }

    silence() {
      this.play(new Map());
    }
  }

  /** The same tones rendered without loudspeakers, for the proof that they are what they claim. */
  async function renderTones(tones, seconds, rate) {
    const context = new OfflineAudioContext(1, Math.round(seconds * rate), rate);
    for (const tone of tones.values()) startTone(context, context.destination, tone, 0);
    return (await context.startRendering()).getChannelData(0);
  }

  window.Upperboard = Object.assign(window.Upperboard || {}, { SPECTRA, Voices, pitchOf, renderTones, tonesOf });
})();
