/* On a telephone the lines of a long table are folded to what they say; a touch opens one. What is marked stays open. */
(function () {
  "use strict";
  var FEW = 8, narrow = window.matchMedia("(max-width: 40rem)"), opened = {};

  function forEach(all, act) { Array.prototype.forEach.call(all, act); }

  function isMarked(line) { return line.querySelector("[aria-invalid], .error, .asks, [data-focus]"); }

  /* What a line says in a row: its texts and numbers, and what its keyboard or stop is called. */
  function told(line) {
    var said = [];
    forEach(line.querySelector(".grid-cells").querySelectorAll(".cell:not(.is-choice):not(.is-yes)"), function (cell) {
      var box = cell.querySelector("input, select");
      var text = box.tagName === "SELECT" ? (box.selectedIndex > -1 && box.value ? box.options[box.selectedIndex].text : "") : box.value;
      text = text.trim();
      var isTold = said.some(function (one) { return (" " + one + " ").indexOf(" " + text + " ") > -1; });
      if (text && !isTold) { said.push(text); }
    });
    return said.join(" · ").slice(0, 120);
  }

  function titleOf(line) {
    var title = line.querySelector(".line-title");
    if (!title) {
      title = document.createElement("button");
      title.type = "button";
      title.className = "line-title";
      line.insertBefore(title, line.firstChild);
    }
    return title;
  }

  function show(line, isOpen) {
    var place = Array.prototype.indexOf.call(line.parentNode.children, line) + 1, title = titleOf(line);
    title.textContent = place + ". " + (told(line) || "–");
    title.setAttribute("aria-expanded", isOpen ? "true" : "false");
    line.classList.toggle("folded", !isOpen);
  }

  function fold() {
    forEach(document.querySelectorAll("form.tables .grid-lines"), function (lines) {
      var isLong = narrow.matches && lines.children.length >= FEW;
      lines.classList.toggle("folds", isLong);
      forEach(lines.children, function (line) {
        if (isLong) { show(line, Boolean(isMarked(line) || opened[line.dataset.line] || line.contains(document.activeElement))); }
        else { line.classList.remove("folded"); }
      });
    });
  }

  function open(line) {
    if (!line.parentNode.classList.contains("folds")) { return; }
    opened[line.dataset.line] = true;
    show(line, true);
  }

  document.addEventListener("click", function (event) {
    var title = event.target.closest ? event.target.closest(".line-title") : null;
    if (!title) { return; }
    var line = title.parentNode, isOpen = line.classList.contains("folded");
    opened[line.dataset.line] = isOpen;
    show(line, isOpen);
  });
  document.addEventListener("change", function (event) {
    var line = event.target.closest ? event.target.closest(".folds > .grid-line") : null;
    if (line) { show(line, !line.classList.contains("folded")); }
  });
  document.addEventListener("htmx:afterSettle", fold);
  narrow.addEventListener("change", fold);
  if (document.readyState === "loading") { document.addEventListener("DOMContentLoaded", fold); } else { fold(); }
  window.folding = { open: open };
})();
