/* Small help for the keyboard: focus goes where something changed; shortcuts that can be turned off. */
(function () {
  "use strict";
  var OFF = "shortcuts-off";

  function off() { try { return localStorage.getItem(OFF) === "yes"; } catch (error) { return false; } }

  document.addEventListener("htmx:afterSettle", function (event) {
    var place = event.detail.elt;
    if (!place || !event.detail.requestConfig || event.detail.requestConfig.triggeringEvent && event.detail.requestConfig.triggeringEvent.type === "load") { return; }
    var wanted = place.matches && place.matches("[data-focus]") ? place : place.querySelector ? place.querySelector("[data-focus]") : null;
    if (wanted) { wanted.focus(); return; }
    if (event.detail.requestConfig.verb === "post" && place.matches && place.matches("section.part")) {
      var title = place.querySelector("h2");
      if (title) { title.focus(); }
    }
  });

  document.addEventListener("keydown", function (event) {
    var typing = /^(INPUT|TEXTAREA|SELECT)$/.test(event.target.tagName);
    if ((event.ctrlKey || event.metaKey) && (event.key === "s" || event.key === "Enter")) {
      var form = event.target.closest && event.target.closest("form.editing");
      if (form) {
        event.preventDefault();
        var save = form.querySelector("button.main[name=step]");
        if (save) { save.click(); } else { form.requestSubmit(); }
      }
      return;
    }
    if (typing || off() || event.ctrlKey || event.metaKey || event.altKey) { return; }
    if (event.key === "/") {
      var box = document.getElementById("search");
      if (box) { event.preventDefault(); box.focus(); }
    } else if (/^[1-9]$/.test(event.key)) {
      var parts = document.querySelectorAll("nav.parts a");
      var link = parts[Number(event.key) - 1];
      if (link) { link.click(); }
    }
  });

  document.addEventListener("DOMContentLoaded", function () {
    var box = document.getElementById("shortcuts-on");
    if (!box) { return; }
    box.checked = !off();
    box.addEventListener("change", function () {
      try { localStorage.setItem(OFF, box.checked ? "no" : "yes"); } catch (error) { /* storage is off */ }
    });
  });

  // Somebody who leaves the page with unsaved text is told that it waits; nothing is lost either way.
  document.addEventListener("htmx:responseError", function () {
    var place = document.getElementById("messages");
    if (!place) { return; }
    var line = document.createElement("p");
    line.className = "message error";
    var words = document.getElementById("words");
    line.textContent = words ? words.dataset.noAnswer : "";
    place.replaceChildren(line);
    place.scrollIntoView({ block: "nearest" });
  });
})();
