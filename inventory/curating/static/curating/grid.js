/* Tables by keyboard: from line to line, add, move, double, divide, take out, and back again step by step. */
(function () {
  "use strict";
  var MOST = 100, back = [], forth = [], last = null, wanted = null;
  var STEPS = { ArrowUp: "up", ArrowDown: "down", KeyD: "duplicate", KeyH: "divide", Delete: "remove", Backspace: "remove" };

  function form() { return document.querySelector("form.tables"); }
  function lineOf(place) { return place.closest ? place.closest(".grid-line") : null; }
  function partOf(cell) { return cell.name.split(".").pop(); }

  function sameCell(line, from) {
    return Array.prototype.find.call(line.querySelectorAll("input:not([type=hidden]), select"), function (one) {
      return partOf(one) === partOf(from);
    });
  }

  function goTo(cell) {
    if (!cell) { return false; }
    if (window.folding) { window.folding.open(lineOf(cell)); }
    cell.focus();
    if (cell.select) { cell.select(); }
    return true;
  }

  /* Every moment before a change is kept; one step back sends it to the server, which builds the tables again. */
  function look() {
    var sheet = form();
    if (!sheet || !window.drafts || sheet.querySelector("[inert]")) { return; }
    var now = JSON.stringify(window.drafts.pairs(sheet));
    if (last !== null && now !== last) {
      back.push(last);
      if (back.length > MOST) { back.shift(); }
      forth = [];
    }
    last = now;
    show();
  }

  function show() {
    Array.prototype.forEach.call(document.querySelectorAll("[data-step-back]"), function (one) { one.disabled = !back.length; });
    Array.prototype.forEach.call(document.querySelectorAll("[data-step-forth]"), function (one) { one.disabled = !forth.length; });
  }

  function travel(from, to, step) {
    var sheet = form(), here = document.activeElement, now = last;
    if (!sheet || !from.length) { return; }
    var target = from.pop();
    wanted = here && here.name ? here.name : here && here.id ? "#" + here.id : null;
    to.push(now);
    last = null;  // the next look is where one starts from, not a change
    window.drafts.rebuild(sheet, JSON.parse(target), step).catch(function () {
      from.push(target);
      to.pop();
      last = now;
      window.drafts.complain();
    });
  }

  function stepBack() { look(); travel(back, forth, "restore|back"); }
  function stepForth() { travel(forth, back, "restore|forth"); }

  document.addEventListener("click", function (event) {
    var button = event.target.closest ? event.target.closest("[data-step-back], [data-step-forth]") : null;
    if (button) { if (button.hasAttribute("data-step-back")) { stepBack(); } else { stepForth(); } }
  });

  document.addEventListener("keydown", function (event) {
    if (!form() || (event.target !== document.body && !event.target.closest("form.tables"))) { return; }
    var line = lineOf(event.target), grid = event.target.closest("fieldset.grid");
    if (event.altKey && !event.ctrlKey && !event.metaKey) {
      var button = null;
      if (event.code === "KeyZ") { event.preventDefault(); if (event.shiftKey) { stepForth(); } else { stepBack(); } return; }
      if (event.code === "KeyN" && grid) { button = grid.querySelector("[data-step=add]"); }
      else if (line && STEPS[event.code]) { button = line.querySelector("[data-step=" + STEPS[event.code] + "]"); }
      if (button) {
        event.preventDefault();
        wanted = STEPS[event.code] === "up" || STEPS[event.code] === "down" ? event.target.name || "#" + event.target.id : null;
        if (STEPS[event.code] === "remove") {
          var near = line.nextElementSibling || line.previousElementSibling;
          var cell = near && event.target.name ? sameCell(near, event.target) : null;
          wanted = cell ? cell.name : "#" + grid.querySelector("[data-step=add]").id;
        }
        button.click();
      }
      return;
    }
    var isText = line && event.target.tagName === "INPUT" && event.target.type !== "checkbox";
    if (!isText || event.ctrlKey || event.metaKey || event.isComposing) { return; }
    if (event.key === "ArrowUp" || event.key === "ArrowDown" || event.key === "Enter") {
      var next = event.key === "ArrowUp" ? line.previousElementSibling : line.nextElementSibling;
      if (event.key === "Enter") { event.preventDefault(); }
      if (next && goTo(sameCell(next, event.target))) { event.preventDefault(); }
      else if (event.key === "Enter") { grid.querySelector("[data-step=add]").click(); }
    }
  });

  document.addEventListener("change", function (event) { if (event.target.closest && event.target.closest("form.tables")) { look(); } });
  document.addEventListener("htmx:beforeRequest", look);
  document.addEventListener("htmx:afterSettle", function (event) {
    if (!event.target.matches || !event.target.matches("form.tables")) { return; }
    look();
    if (wanted) {
      var sheet = form();
      var cell = wanted[0] === "#" ? document.getElementById(wanted.slice(1)) : sheet && sheet.elements[wanted];
      if (cell && cell.length !== undefined && !cell.tagName) { cell = cell[0]; }
      if (cell) { cell.focus(); }
      wanted = null;
    }
  });
  document.addEventListener("DOMContentLoaded", look);
})();
