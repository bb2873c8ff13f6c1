/* The player of an instrument's page. All its words come from the page; the page is complete without it. */
"use strict";
(function () {
  const { readScheme, readNet, soundPipes, soundingLevels, excludedBy, tonesOf, buildKeys, buildRow, markDrawings, Voices, TYPED } =
    window.Upperboard;
  const data = JSON.parse(document.getElementById("playing").textContent);
  const player = document.getElementById("player");
  const words = data.words;
  const scheme = readScheme(data);
  // Only where there are valves to be held open does the page carry the ways of the wind, and the script that knows them.
  const net = data.net && readNet(data.net, [...data.stops, ...data.ranks].map(one => one.id));
  const labels = new Map(data.stops.map(stop => [stop.id, stop.label]));
  const boardOf = new Map(data.stops.map(stop => [stop.id, stop.keyboard]));
  const plural = new Intl.PluralRules(document.documentElement.lang || "en");
  const drawn = new Set();
  const held = new Set();
  let heldOpen = "";
  let voices = null;

  const fill = (text, values) => text.replace(/\{(\w+)\}/g, (whole, name) => (name in values ? values[name] : whole));
  const counted = (name, n, more) => fill(words[name][plural.select(n)] || words[name].other, { n, ...more });

  /** Helmholtz name of a note. */
  function noteName(note) {
    const octave = Math.floor(note / 12) - 3;
    const name = data.noteNames[((note % 12) + 12) % 12];
    if (octave < 0) return name + "₀₁₂₃₄₅₆₇₈₉"[-octave];
    return octave === 0 ? name : name.toLowerCase() + (octave > 1 ? "⁰¹²³⁴⁵⁶⁷⁸⁹"[octave - 1] : "");
  }

  /** What is to be filled into a sentence about a pipe: its number, its row, and its note where it is known. */
  function pipeValues(id) {
    const colon = id.lastIndexOf(":");
    const rank = scheme.ranks[scheme.place.get(id.slice(0, colon))];
    const pipe = Number(id.slice(colon + 1));
    const note = rank.notes[pipe - 1];
    return { pipe, row: rank.name || labels.get(rank.id), note: note === null || note === undefined ? "" : noteName(note) };
  }

  function pipeName(id) {
    const values = pipeValues(id);
    return fill(values.note ? words.pipe : words.unpitched, values);
  }

  function keyName(stop, key, withBoard) {
    const board = scheme.keyboards.get(boardOf.get(stop));
    const note = noteName(board.channels[key - 1]);
    return withBoard ? fill(words.board, { note, board: board.name }) : note;
  }

  /** What speaks, in a sentence or two for eye and screen reader. */
  function tell(heard, murmuring) {
    if (!heard.pipes.length && !murmuring.length) return words.silent;
    const stops = [...drawn].filter(id => labels.has(id)).length;
    const told = [fill(words.sum, {
      stops: counted("stops", stops), keys: counted("keys", held.size), calls: counted("calls", heard.calls),
      pipes: counted("pipes", heard.pipes.length),
      coincide: heard.coincide ? counted("coincide", heard.coincide) : words.none,
    })];
    const meeting = heard.pipes.filter(pipe => pipe.calls.length > pipe.tones.size);
    for (const pipe of meeting.slice(0, 2)) {
      const boards = new Set(pipe.calls.map(call => boardOf.get(call.stop)));
      const callers = pipe.calls.map(call =>
        fill(words.caller, { stop: labels.get(call.stop), key: keyName(call.stop, call.key, boards.size > 1) }));
      const values = { ...pipeValues(pipe.id), callers: callers.join(words.and) };
      told.push(fill(values.note ? words.meet : words["meet unpitched"], values));
    }
    if (meeting.length > 2) told.push(counted("more", meeting.length - 2));
    if (heard.apart) told.push(counted("apart", heard.apart));
    if (murmuring.length) {
      const names = murmuring.slice(0, 4).map(pipeName).join(", ") + (murmuring.length > 4 ? " …" : "");
      told.push(counted("murmur", murmuring.length, { pipes: names }));
    } else if (heldOpen) told.push(words["nothing murmurs"]);
    return told.join(" ");
  }

  const rows = [...player.querySelectorAll("svg[data-row]")].map(svg => {
    const id = svg.dataset.row;
    const rank = scheme.ranks[scheme.place.get(id)];
    let highest = rank.notes.length;
    for (const called of scheme.calls.values()) for (const [name, pipe] of called) if (name === id) highest = Math.max(highest, pipe);
    return { id, show: buildRow(svg, rank, Math.max(1, highest)) };
  });

  function update() {
    const heard = soundPipes(scheme, drawn, held);
    const levels = heldOpen
      ? soundingLevels(net, new Set([...drawn, ...heard.channels]), [{ part: heldOpen, fails: "open" }])
      : null;
    const asked = new Map(heard.pipes.map(pipe => [pipe.id, pipe.calls.length]));
    const murmuring = levels ? [...levels.keys()].filter(id => !asked.has(id)) : [];
    for (const { id, show } of rows) {
      const sounding = new Map();
      for (const pipe of heard.pipes) {
        const level = levels ? levels.get(pipe.id) || 0 : 2;
        if (pipe.rank === id && level) sounding.set(pipe.pipe, { calls: pipe.calls.length, level });
      }
      for (const murmur of murmuring) {
        const colon = murmur.lastIndexOf(":");
        if (murmur.slice(0, colon) === id) sounding.set(Number(murmur.slice(colon + 1)), { calls: 0, level: levels.get(murmur) });
      }
      show(sounding);
      markDrawings(id, sounding);
    }
    for (const knob of player.querySelectorAll("[data-stop]")) knob.setAttribute("aria-pressed", drawn.has(knob.dataset.stop));
    for (const key of player.querySelectorAll("[data-at]")) {
      key.setAttribute("aria-pressed", held.has(key.dataset.at));
      key.classList.toggle("pulled", !held.has(key.dataset.at) && heard.channels.has(key.dataset.at));
    }
    const text = tell(heard, murmuring);
    const region = document.getElementById("heard");
    if (region.textContent !== text) region.textContent = text;
    if (voices) voices.play(tonesOf(scheme, heard, levels, data.tuning));
  }

  function draw(stop) {
    if (drawn.has(stop)) drawn.delete(stop);
    else {
      for (const other of excludedBy(scheme, stop)) drawn.delete(other);
      drawn.add(stop);
    }
    update();
  }

  const stay = document.getElementById("keys-stay");
  const lasting = new Map();
  function release(at) {
    held.delete(at);
    lasting.delete(at);
    update();
  }
  /** One rule for pointer, touch, letters and screen readers. */
  function act(at, how, byKeyboard) {
    if (stay.checked) {
      if (how !== "toggle") return;
      if (!held.delete(at)) held.add(at);
      update();
    } else if (how === "down") {
      held.add(at);
      update();
    } else if (how === "up") {
      if (held.has(at) && !lasting.has(at)) release(at);
    } else if (byKeyboard) {
      // Space and Enter cannot be held through a click: the key sounds for a moment.
      clearTimeout(lasting.get(at));
      held.add(at);
      lasting.set(at, setTimeout(release, 900, at));
      update();
    }
  }

  for (const frame of player.querySelectorAll("[data-keyboard]"))
    buildKeys(frame, scheme.keyboards.get(frame.dataset.keyboard), noteName, words, act);
  player.addEventListener("click", event => {
    const knob = event.target.closest("[data-stop]");
    if (knob) draw(knob.dataset.stop);
  });
  document.getElementById("clear-all").addEventListener("click", () => { drawn.clear(); held.clear(); chooseOpen(""); update(); });

  const sound = document.getElementById("sound-switch");
  sound.addEventListener("click", () => {
    const on = sound.getAttribute("aria-pressed") !== "true";
    sound.setAttribute("aria-pressed", on);
    if (on) {
      voices = voices || new Voices();
      voices.context.resume();
    } else if (voices) {
      voices.silence();
      voices = null;
    }
    update();
  });
  document.addEventListener("visibilitychange", () => { if (document.hidden && voices) voices.silence(); else update(); });

  const open = document.getElementById("held-open");
  function chooseOpen(part) {
    heldOpen = open && [...open.options].some(option => option.value === part) ? part : "";
    if (open) open.value = heldOpen;
  }
  if (open) {
    for (const gate of net.gates) {
      if (!gate.part.startsWith("valve:")) continue;
      const [, stop, key] = gate.part.split(":");
      const values = { ...pipeValues(gate.target.slice(5)), stop: labels.get(stop), key: keyName(stop, Number(key), false) };
      open.append(new Option(fill(values.note ? words.valve : words["valve unpitched"], values), gate.part));
    }
    open.addEventListener("change", () => { chooseOpen(open.value); update(); });
  }

  const typed = document.getElementById("typed-keys");
  const down = new Map();
  player.addEventListener("keydown", event => {
    if (event.altKey || event.ctrlKey || event.metaKey || event.repeat || !(event.code in TYPED)) return;
    if (!event.target.closest("[data-keyboard]")) return;
    const [name, note] = typed.value.split(":");
    const key = scheme.keyboards.get(name).notes.indexOf(Number(note) + TYPED[event.code]);
    if (key < 0) return;
    event.preventDefault();
    const at = name + ":" + (key + 1);
    down.set(event.code, at);
    act(at, stay.checked ? "toggle" : "down", false);
  });
  window.addEventListener("keyup", event => {
    if (down.has(event.code)) act(down.get(event.code), "up", false);
    down.delete(event.code);
  });

  const steps = [...document.querySelectorAll(".steps .set")];
  let step = -1;
  function setStep(n) {
    step = n;
    const list = text => text.split(" ").filter(Boolean);
    const { drawn: stops, held: keys, open: part } = steps[n].dataset;
    drawn.clear();
    held.clear();
    list(stops).forEach(id => drawn.add(id));
    list(keys).forEach(at => held.add(at));
    chooseOpen(part);
    steps.forEach((other, place) => other.classList.toggle("now", place === n));
    document.getElementById("step-text").textContent =
      fill(words.step, { n: n + 1, all: steps.length }) + " " + steps[n].parentElement.querySelector("p").textContent;
    document.getElementById("step-back").disabled = n === 0;
    document.getElementById("step-on").disabled = n === steps.length - 1;
    update();
    // Every row of keys scrolls in its own frame to the first key that is held.
    for (const at of [...held].reverse()) {
      const key = player.querySelector(`[data-at="${CSS.escape(at)}"]`);
      if (key) key.closest(".keys").scrollLeft = key.offsetLeft - 60;
    }
  }
  if (steps.length) {
    document.getElementById("step-back").addEventListener("click", () => setStep(step - 1));
    document.getElementById("step-on").addEventListener("click", () => setStep(step + 1));
    steps.forEach((button, n) => button.addEventListener("click", () => {
      setStep(n);
      const calm = matchMedia("(prefers-reduced-motion: reduce)").matches;
      player.scrollIntoView({ block: "start", behavior: calm ? "auto" : "smooth" });
    }));
    document.getElementById("step-back").disabled = true;
  }
  update();
})();
