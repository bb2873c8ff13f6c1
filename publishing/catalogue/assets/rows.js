/* Rows of pipes: which speak, which are asked twice and sound once, which murmur. */
"use strict";
(function () {
  const SVG = "http://www.w3.org/2000/svg";
  const FOOT = 96;
  // The rows are stretched to their room; their lines are not.
  const THIN = { "vector-effect": "non-scaling-stroke" };

  function shape(name, attributes) {
    const made = document.createElementNS(SVG, name);
    for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
    return made;
  }

  /** Draws the pipes of a row; the answer shows what sounds: a map pipe -> {calls, level}. */
  function buildRow(svg, rank, count) {
    svg.setAttribute("viewBox", `0 0 ${count * 10} 120`);
    svg.setAttribute("preserveAspectRatio", "none");
    svg.setAttribute("aria-hidden", "true");
    svg.style.maxWidth = `${count * 1.15}rem`;
    const known = rank.notes.filter(note => note !== null);
    const lowest = known.length ? Math.min(...known) : null;
    const pipes = [];
    for (let n = 0; n < count; n++) {
      const note = rank.notes[n];
      // Square roots of the lengths, so that the smallest pipes stay visible.
      const high = lowest === null || note === null || note === undefined ? 55 : 92 * 2 ** (-(note - lowest) / 24);
      const x = n * 10;
      const pipe = shape("path", { d: `M${x + 1} ${FOOT}V${FOOT - high}H${x + 9}V${FOOT}Z`, class: "pipe", ...THIN });
      svg.append(pipe);
      pipes.push(pipe);
    }
    const marks = shape("g", {});
    svg.append(marks);
    return sounding => {
      pipes.forEach((pipe, n) => {
        const now = sounding.get(n + 1);
        pipe.setAttribute("class", "pipe" + (!now ? "" : now.level < 2 ? " faint" : now.calls > 1 ? " speaks twice" : " speaks"));
      });
      marks.replaceChildren();
      for (const [pipe, { calls, level }] of sounding) {
        for (let n = 0; n < Math.max(1, Math.min(calls, 3)); n++) {
          marks.append(shape("path", { d: `M${pipe * 10 - 5} ${FOOT + 6 + n * 8}h.01`, class: level < 2 ? "mark faint" : "mark", ...THIN }));
        }
      }
    };
  }

  /** Marks the same pipes in the drawings of the page. */
  function markDrawings(rank, sounding) {
    for (const drawing of document.querySelectorAll(`[data-rank="${CSS.escape(rank)}"]`)) {
      for (const pipe of drawing.querySelectorAll("[data-pipe]")) {
        const now = sounding.get(Number(pipe.dataset.pipe));
        pipe.classList.toggle("speaks", !!now && now.level === 2);
        pipe.classList.toggle("faint", !!now && now.level < 2);
      }
    }
  }

  window.Upperboard = Object.assign(window.Upperboard || {}, { buildRow, markDrawings });
})();
