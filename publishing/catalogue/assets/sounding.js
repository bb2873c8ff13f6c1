/* What sounds: stops and couplers drawn, keys held, and the pipes that answer.
   The same rules as inventory/organ/sounding.py; one table of cases holds both to the same answers.
   Plain script, no modules: it has to work from a memory stick. */
"use strict";
(function () {
  const MOST_CHAINS = 5000;

  /** Unpacks what the page carries into maps that answer quickly. */
  function readScheme(data) {
    const keyboards = new Map();
    const unpack = runs => runs.flatMap(([first, count]) =>
      Array.from({ length: count }, (_, n) => (first === null ? null : first + n)));
    for (const one of data.keyboards) {
      const notes = unpack(one.notes);
      const top = notes.length ? Math.max(...notes) : 35;
      const channels = notes.concat(Array.from({ length: one.reach }, (_, n) => top + 1 + n));
      const keyAtNote = new Map();
      channels.forEach((note, place) => { if (!keyAtNote.has(note)) keyAtNote.set(note, place + 1); });
      keyboards.set(one.id, { ...one, notes, channels, keyAtNote });
    }
    const couplers = data.couplers.map(([id, origin, target, shift, channel, always]) =>
      ({ id, origin, target, shift, channel: !!channel, always: !!always }));
    const ranks = data.ranks.map(rank => ({ ...rank, notes: unpack(rank.notes) }));
    // Calls by "stop key": [rank, pipe, note, polyphone].
    const calls = new Map();
    for (const stop of data.stops) {
      for (const [rank, key, pipe, note, count, polyphone] of data.calls[stop.id] || []) {
        for (let n = 0; n < count; n++) {
          const at = stop.id + " " + (key + n);
          if (!calls.has(at)) calls.set(at, []);
          calls.get(at).push([ranks[rank].id, pipe + n, note === null ? null : note + n, polyphone]);
        }
      }
    }
    return { keyboards, couplers, calls, stops: data.stops, controls: data.controls,
             ranks, place: new Map(ranks.map((rank, n) => [rank.id, n])) };
  }

  /** Every key and channel pressed ("I:25") when keys are held with couplers drawn. */
  function pressKeys(scheme, drawn, held) {
    const pressed = new Set();
    const spent = new Map();
    const waiting = [];
    for (const at of held) waiting.push([at, new Set()]);
    let steps = 0;
    for (let next = 0; next < waiting.length; next++) {
      const [at, used] = waiting[next];
      const before = spent.get(at) || [];
      // A key reached again matters only if some coupler is still free that was spent before.
      if (before.some(one => [...one].every(id => used.has(id)))) continue;
      if (++steps > MOST_CHAINS) throw new Error("couplers chain too often");
      before.push(used);
      spent.set(at, before);
      pressed.add(at);
      const [name, number] = at.split(":");
      const note = scheme.keyboards.get(name).notes[Number(number) - 1];
      for (const coupler of scheme.couplers) {
        if (coupler.origin !== name || !(coupler.always || drawn.has(coupler.id))) continue;
        const target = scheme.keyboards.get(coupler.target);
        const reached = target.keyAtNote.get(note + coupler.shift);
        if (reached === undefined || used.has(coupler.id)) continue;
        const there = target.id + ":" + reached;
        if (coupler.channel || reached > target.notes.length) pressed.add(there);
        else waiting.push([there, new Set(used).add(coupler.id)]);
      }
    }
    return pressed;
  }

  /** What speaks: pipes in the order of the record, each with its calls and the notes asked of it. */
  function soundPipes(scheme, drawn, held) {
    const channels = pressKeys(scheme, drawn, held);
    const asked = new Map();
    for (const stop of scheme.stops) {
      if (!drawn.has(stop.id)) continue;
      for (const at of channels) {
        const [name, key] = at.split(":");
        if (name !== stop.keyboard) continue;
        for (const [rank, pipe, note, polyphone] of scheme.calls.get(stop.id + " " + key) || []) {
          const id = rank + ":" + pipe;
          if (!asked.has(id)) asked.set(id, { id, rank, pipe, calls: [], notes: [], tones: new Set() });
          const found = asked.get(id);
          found.calls.push({ stop: stop.id, key: Number(key) });
          if (note !== null && !found.notes.includes(note) && (polyphone || !found.notes.length)) found.notes.push(note);
          found.tones.add(polyphone ? note : null);
        }
      }
    }
    const pipes = [...asked.values()].sort((a, b) =>
      scheme.place.get(a.rank) - scheme.place.get(b.rank) || a.pipe - b.pipe);
    let calls = 0, tones = 0, apart = 0;
    for (const pipe of pipes) {
      pipe.calls.sort((a, b) => (a.stop < b.stop ? -1 : a.stop > b.stop ? 1 : a.key - b.key));
      calls += pipe.calls.length;
      tones += pipe.tones.size;
      apart += pipe.tones.size * (pipe.tones.size - 1) / 2;
    }
    return { pipes, calls, coincide: calls - tones, apart, channels };
  }

  /** Stops that drawing this one pushes in: those no position of its control draws with it. */
  function excludedBy(scheme, stop) {
    const out = new Set();
    for (const positions of scheme.controls) {
      const own = positions.filter(position => position.includes(stop));
      if (!own.length) continue;
      for (const other of positions.flat()) {
        if (other !== stop && !own.some(position => position.includes(other))) out.add(other);
      }
    }
    return out;
  }

  window.Upperboard = Object.assign(window.Upperboard || {}, { readScheme, pressKeys, soundPipes, excludedBy });
})();
