/* Pipes that speak marked in the drawing; rectangles drawn on a picture by pointer or keys. */
(function () {
  "use strict";

  function lineOf(place) { return place.closest ? place.closest(".grid-line") : null; }

  function mark() {
    Array.prototype.forEach.call(document.querySelectorAll("#try .speaks"), function (one) { one.classList.remove("speaks"); });
    Array.prototype.forEach.call(document.querySelectorAll(".speaking-pipe"), function (said) {
      Array.prototype.forEach.call(document.querySelectorAll("#try [data-rank]"), function (rank) {
        if (rank.getAttribute("data-rank") !== said.dataset.of) { return; }
        var pipe = rank.querySelector('[data-pipe="' + Number(said.dataset.number) + '"]');
        if (pipe) { pipe.classList.add("speaks"); }
      });
    });
  }
  document.addEventListener("htmx:afterSettle", mark);

  /* Regions: each line of the table is one rectangle; the chosen one follows the pointer and the arrow keys. */
  var NAMES = ["x", "y", "width", "height"];

  function boxOf(line) {
    var box = {};
    NAMES.forEach(function (name) {
      var field = line.querySelector(".of-" + name + " input");
      box[name] = field ? Number(String(field.value).replace(",", ".")) || 0 : 0;
    });
    return box;
  }

  function putBox(line, box) {
    box.width = Math.min(Math.max(box.width, 1), 100);
    box.height = Math.min(Math.max(box.height, 1), 100);
    box.x = Math.min(Math.max(box.x, 0), 100 - box.width);
    box.y = Math.min(Math.max(box.y, 0), 100 - box.height);
    NAMES.forEach(function (name) {
      var field = line.querySelector(".of-" + name + " input");
      if (field) { field.value = String(Math.round(box[name] * 10) / 10); }
    });
    line.dispatchEvent(new CustomEvent("draft-changed", { bubbles: true }));
    draw();
  }

  function chosen() {
    var picture = document.querySelector(".picture-board");
    var lines = document.querySelectorAll(".region-lines .grid-line");
    if (!picture || !lines.length) { return null; }
    var at = Math.min(Number(picture.dataset.chosen || lines.length - 1), lines.length - 1);
    return lines[at];
  }

  function draw() {
    var sheet = document.querySelector(".picture-board svg");
    if (!sheet) { return; }
    var mine = chosen();
    sheet.replaceChildren();
    Array.prototype.forEach.call(document.querySelectorAll(".region-lines .grid-line"), function (line, number) {
      var box = boxOf(line), rect = document.createElementNS("http://www.w3.org/2000/svg", "rect");
      NAMES.forEach(function (name) { rect.setAttribute(name, box[name]); });
      rect.setAttribute("class", line === mine ? "region chosen" : "region");
      var text = document.createElementNS("http://www.w3.org/2000/svg", "title");
      text.textContent = String(number + 1);
      rect.appendChild(text);
      sheet.appendChild(rect);
    });
  }

  function say(line) {
    var place = document.getElementById("region-said"), box = boxOf(line);
    if (place) { place.textContent = NAMES.map(function (name) { return box[name] + " %"; }).join(" · "); }
  }

  document.addEventListener("keydown", function (event) {
    if (!event.target.classList || !event.target.classList.contains("picture-board")) { return; }
    var line = chosen();
    var lines = document.querySelectorAll(".region-lines .grid-line");
    if (!line) { return; }
    if (event.key === "PageUp" || event.key === "PageDown") {
      var at = Array.prototype.indexOf.call(lines, line) + (event.key === "PageUp" ? lines.length - 1 : 1);
      event.target.dataset.chosen = at % lines.length;
      event.preventDefault(); draw(); say(chosen());
      return;
    }
    if (event.key === "Enter") {
      var label = line.querySelector(".of-label input");
      if (label) { event.preventDefault(); label.focus(); }
      return;
    }
    var moves = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
    if (!moves || event.altKey) { return; }
    event.preventDefault();
    var box = boxOf(line), far = event.ctrlKey ? 5 : 1;
    if (event.shiftKey) { box.width += moves[0] * far; box.height += moves[1] * far; }
    else { box.x += moves[0] * far; box.y += moves[1] * far; }
    putBox(line, box);
    say(line);
  });

  var from = null;
  function at(event, board) {
    var frame = board.getBoundingClientRect();
    return [(event.clientX - frame.left) / frame.width * 100, (event.clientY - frame.top) / frame.height * 100];
  }
  document.addEventListener("pointerdown", function (event) {
    var board = event.target.closest && event.target.closest(".picture-board");
    if (!board || !chosen()) { return; }
    from = at(event, board);
    board.setPointerCapture(event.pointerId);
    event.preventDefault();
    board.focus();
  });
  document.addEventListener("pointermove", function (event) {
    var board = event.target.closest && event.target.closest(".picture-board");
    if (!from || !board) { return; }
    var to = at(event, board);
    putBox(chosen(), { x: Math.min(from[0], to[0]), y: Math.min(from[1], to[1]), width: Math.abs(to[0] - from[0]), height: Math.abs(to[1] - from[1]) });
  });
  document.addEventListener("pointerup", function () {
    if (from && chosen()) { say(chosen()); }
    from = null;
  });
  document.addEventListener("input", function (event) { if (lineOf(event.target)) { draw(); } });
  document.addEventListener("focusin", function (event) {
    var line = lineOf(event.target), board = document.querySelector(".picture-board");
    if (!line || !board || !line.closest(".region-lines")) { return; }
    board.dataset.chosen = Array.prototype.indexOf.call(line.parentNode.children, line);
    draw();
  });
  document.addEventListener("htmx:afterSettle", draw);
  document.addEventListener("DOMContentLoaded", function () { mark(); draw(); });
})();
