// Draw stops and see which calls of the repertoire coincide, and at which intervals between the keys.
// The sums are those of inventory/organ/meetings.py, on the same small table. Without this script the table stands.
"use strict";
(function () {
  /** Weighted calls, those that coincide, and these by interval, for the stops drawn (their places). */
  function register(data, drawn) {
    let calls = 0, coincide = 0;
    const intervals = new Map();
    for (const place of drawn) calls += data.calls[place];
    for (const [weight, ...meeting] of data.meetings) {
      const here = [];
      for (let n = 0; n < meeting.length; n += 2) if (drawn.has(meeting[n + 1])) here.push(meeting[n]);
      for (let n = 1; n < here.length; n++) {
        const interval = here[n] - here[n - 1];
        intervals.set(interval, (intervals.get(interval) || 0) + weight);
        coincide += weight;
      }
    }
    return { calls, coincide, intervals };
  }

  function fill(text, values) {
    return text.replace(/\{(\w+)\}/g, (_whole, name) => values[name]);
  }

  /** A figure as the language of the page writes it; a sum of weights has no more places than it needs. */
  function figure(value, places) {
    const digits = places === undefined ? { maximumFractionDigits: 6 }
      : { minimumFractionDigits: places, maximumFractionDigits: places };
    return new Intl.NumberFormat(document.documentElement.lang || "en", { useGrouping: false, ...digits }).format(value);
  }

  function show(box, data, drawn) {
    const found = register(data, drawn);
    const said = box.querySelector(".said");
    const words = drawn.size < 2 ? data.words.few : found.coincide ? data.words.sum : data.words.none;
    said.textContent = fill(words, {
      coincide: figure(found.coincide), calls: figure(found.calls),
      rate: found.calls ? figure(found.coincide / found.calls, 3) : "0",
    });
    said.dataset.calls = found.calls;
    said.dataset.coincide = found.coincide;
    const list = box.querySelector(".meets");
    list.replaceChildren(...[...found.intervals].sort((a, b) => b[1] - a[1] || a[0] - b[0]).map(([interval, weight]) => {
      const line = document.createElement("li");
      line.dataset.interval = interval;
      line.dataset.weight = weight;
      line.textContent = fill(data.words.interval, {
        interval: data.intervals[interval], weight: figure(weight), part: figure(weight / found.coincide, 2),
      });
      return line;
    }));
  }

  for (const box of document.querySelectorAll(".registering")) {
    const data = JSON.parse(box.querySelector("script").textContent);
    const knobs = [...box.querySelectorAll(".knob")];
    const drawn = new Set();
    for (const [place, knob] of knobs.entries()) {
      if (knob.getAttribute("aria-pressed") === "true") drawn.add(place);
      knob.addEventListener("click", () => {
        if (!drawn.delete(place)) drawn.add(place);
        knob.setAttribute("aria-pressed", String(drawn.has(place)));
        show(box, data, drawn);
      });
    }
    show(box, data, drawn);
  }
})();
