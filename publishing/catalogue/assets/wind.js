/* Wind in the net of a chest: where it gets, and how loud, for what is played and what is held open.
   The same rules as inventory/organ/flows.py. Levels: 2 loud, 1 faint (only through a back-leak,
   a run or a slight opening); a space that is not in the answer has no wind. */
"use strict";
(function () {
  const LOUD = 2, FAINT = 1;
  const SOURCES = ["wind", "supply"];

  function moved(name, by) {
    if (!by) return name;
    const colon = name.lastIndexOf(":");
    return name.slice(0, colon + 1) + (Number(name.slice(colon + 1)) + by);
  }

  // As in playing.py: names that stand in many gates are numbers there (~3), these first, then those of stops and rows.
  const SPACES = ["channel", "groove", "pipe", "slider", "pallet", "valve", "line", "contact", "switch", "wire", "cone"];

  /** Unpacks the runs of gates. */
  function readNet(data, ids) {
    const gates = [];
    const names = [...new Set([...SPACES, ...ids])];
    const whole = name => name.replace(/~(\d+)/g, (_, n) => names[n]);
    for (const [from, to, by, touches, count = 1, flags = 0, alive = "", told] of data.gates) {
      const [origin, target, part, live, ...opened] = [from, to, by, alive, ...touches].map(whole);
      const steps = told || [origin, target, part, live, ...opened].map(name => (/:\d+$/.test(name) ? 1 : 0));
      for (let n = 0; n < count; n++) {
        const at = (name, place) => moved(name, n * steps[place]);
        gates.push({
          origin: at(origin, 0), target: at(target, 1), part: at(part, 2), live: at(live, 3),
          opened: opened.map((touch, place) => at(touch, 4 + place)),
          oneWay: (flags & 1) === 1, electric: (flags & 2) === 2,
        });
      }
    }
    const ways = new Map();
    const add = (from, to, gate) => { if (!ways.has(from)) ways.set(from, []); ways.get(from).push([to, gate]); };
    for (const gate of gates) {
      add(gate.live || gate.origin, gate.target, gate);
      if (!gate.oneWay && !gate.live && !SOURCES.includes(gate.origin)) add(gate.target, gate.origin, gate);
    }
    return { gates, ways, missing: new Set(data.missing) };
  }

  /** The ways that failures open, by the space they lead from: [to, level]. */
  function openings(net, failures) {
    const found = new Map();
    const add = (from, to, level) => { if (!found.has(from)) found.set(from, []); found.get(from).push([to, level]); };
    for (const { part, fails } of failures) {
      if (fails === "runs") {
        const [one, other] = part.split("|");
        add(one, other, FAINT);
        add(other, one, FAINT);
      }
      if (fails !== "open" && fails !== "slight") continue;
      const level = fails === "open" ? LOUD : FAINT;
      for (const gate of net.gates) {
        if (gate.part !== part) continue;
        if (gate.opened.length || gate.live) add(gate.origin, gate.target, level);
        if (SOURCES.includes(gate.origin) || gate.electric) continue;
        if (!gate.oneWay) add(gate.target, gate.origin, level);
        else if (fails === "open") add(gate.target, gate.origin, FAINT);
      }
    }
    return found;
  }

  /** Level of every space that wind reaches; `touches` are stops drawn and channels pressed. */
  function spreadWind(net, touches, failures) {
    const shut = new Set(failures.filter(one => one.fails === "shut").map(one => one.part));
    const dead = new Set(failures.filter(one => one.fails === "dead").map(one => one.part));
    const opened = openings(net, failures);
    const levels = new Map(SOURCES.map(space => [space, LOUD]));
    let level = LOUD;
    let waiting = [...SOURCES];
    let later = [];
    const reach = space => {
      if (levels.has(space) || dead.has(space)) return;
      levels.set(space, level);
      waiting.push(space);
    };
    for (;;) {
      while (waiting.length) {
        const space = waiting.pop();
        for (const [to, gate] of net.ways.get(space) || []) {
          if (!shut.has(gate.part) && gate.opened.every(touch => touches.has(touch))) reach(to);
        }
        for (const [to, most] of opened.get(space) || []) {
          if (most >= level) reach(to);
          else later.push(to);
        }
      }
      if (level === FAINT) return levels;
      // Everything loud is found; what only leaks reach follows, faintly.
      level = FAINT;
      later.forEach(reach);
      later = [];
    }
  }

  /** Levels of the pipes alone; pipes known to be gone make no sound. */
  function soundingLevels(net, touches, failures) {
    const found = new Map();
    for (const [space, level] of spreadWind(net, touches, failures)) {
      if (space.startsWith("pipe:") && !net.missing.has(space)) found.set(space.slice(5), level);
    }
    return found;
  }

  window.Upperboard = Object.assign(window.Upperboard || {}, { readNet, spreadWind, soundingLevels });
})();
