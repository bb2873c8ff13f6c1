/* Typed text waits in this browser until it is saved: it survives a reload and a session that ran out. */
(function () {
  "use strict";
  var DAYS = 14, PREFIX = "draft:";
  var person = document.body ? document.body.dataset.person : null;

  function key(form) { return PREFIX + (person || "?") + ":" + form.dataset.draft; }

  function read(name) {
    try { return JSON.parse(localStorage.getItem(name)); } catch (error) { return null; }
  }

  function forget(name) { try { localStorage.removeItem(name); } catch (error) { /* storage is off */ } }

  function fields(form) {
    return Array.prototype.filter.call(form.elements, function (field) {
      return field.name && field.type !== "hidden" && field.type !== "file" && field.type !== "password" && field.type !== "submit";
    });
  }

  function value(field) {
    return field.type === "checkbox" || field.type === "radio" ? field.checked : field.value;
  }

  function place(field) { return field.type === "radio" ? field.name + "=" + field.value : field.name; }

  function now(form) {
    var kept = {};
    fields(form).forEach(function (field) { kept[place(field)] = value(field); });
    return kept;
  }

  function keep(form) {
    var kept = { when: Date.now(), fields: now(form) };
    try { localStorage.setItem(key(form), JSON.stringify(kept)); } catch (error) { /* storage is off or full */ }
    form.classList.add("unsaved");
  }

  function putBack(form) {
    if (form.dataset.draftReady) { return; }
    form.dataset.draftReady = "yes";
    form.draftFirst = now(form);
    var kept = read(key(form));
    if (!kept || form.hasAttribute("data-draft-keep")) { return; }
    if (Date.now() - kept.when > DAYS * 86400000) { forget(key(form)); return; }
    var changed = false;
    fields(form).forEach(function (field) {
      var old = kept.fields[place(field)];
      if (old === undefined || old === value(field)) { return; }
      changed = true;
      if (field.type === "checkbox" || field.type === "radio") { field.checked = old; } else { field.value = old; }
    });
    if (!changed) { return; }
    form.classList.add("unsaved");
    var note = document.createElement("p");
    note.className = "draft-note";
    note.setAttribute("role", "status");
    note.textContent = document.documentElement.lang.indexOf("fr") === 0 ? "Votre texte non enregistré a été remis. "
      : document.documentElement.lang.indexOf("es") === 0 ? "Su texto sin guardar se ha repuesto. "
      : "What you typed before and did not save is put back. ";
    var button = document.createElement("button");
    button.type = "button";
    button.className = "plain";
    button.textContent = document.documentElement.lang.indexOf("fr") === 0 ? "L’abandonner"
      : document.documentElement.lang.indexOf("es") === 0 ? "Descartarlo" : "Throw it away";
    button.addEventListener("click", function () {
      forget(key(form));
      fields(form).forEach(function (field) {
        var first = form.draftFirst[place(field)];
        if (field.type === "checkbox" || field.type === "radio") { field.checked = first; } else { field.value = first; }
      });
      form.classList.remove("unsaved");
      note.remove();
    });
    note.appendChild(button);
    form.insertBefore(note, form.firstChild);
  }

  function look(root) {
    Array.prototype.forEach.call((root || document).querySelectorAll("form[data-draft]"), putBack);
    if (root && root.matches && root.matches("form[data-draft]")) { putBack(root); }
  }

  function saved(draft) { if (draft) { forget(PREFIX + (person || "?") + ":" + draft); } }

  document.addEventListener("input", function (event) {
    var form = event.target.closest ? event.target.closest("form[data-draft]") : null;
    if (form) { keep(form); }
  });
  document.addEventListener("change", function (event) {
    var form = event.target.closest ? event.target.closest("form[data-draft]") : null;
    if (form) { keep(form); }
  });
  document.addEventListener("submit", function (event) {
    if (event.target.hasAttribute && event.target.hasAttribute("data-forget-drafts")) {
      Object.keys(localStorage).forEach(function (name) {
        if (name.indexOf(PREFIX + (person || "?") + ":") === 0) { forget(name); }
      });
    }
  });
  document.addEventListener("htmx:load", function (event) { look(event.detail.elt); });
  document.addEventListener("record-saved", function (event) { saved(event.detail && event.detail.draft); });
  document.addEventListener("DOMContentLoaded", function () {
    person = document.body.dataset.person;
    Array.prototype.forEach.call(document.querySelectorAll("[data-draft-saved]"), function (message) {
      saved(message.dataset.draftSaved);
    });
    look(document);
  });
  if (document.readyState !== "loading") { person = document.body.dataset.person; look(document); }
})();
