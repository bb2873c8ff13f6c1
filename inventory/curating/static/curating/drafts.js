/* Typed text waits in this browser until it is saved: it survives a reload and a session that ran out.
   A form of fields is filled again at once. A form of tables is kept whole, lines that are not saved among
   them, and is offered back: the server builds it again from what was kept. */
(function () {
  "use strict";
  var DAYS = 14, PREFIX = "draft:", SENT = "draft-sent", KEPT_TABLES = {};
  var person = null, started = false;

  function key(form) { return PREFIX + (person || "?") + ":" + form.dataset.draft; }
  function isTables(form) { return form.classList.contains("tables"); }
  function words(name) {
    var place = document.getElementById("words");
    return (place && place.dataset[name]) || "";
  }

  function read(name) {
    try { return JSON.parse(localStorage.getItem(name)); } catch (error) { return null; }
  }
  function write(name, kept) {
    try { localStorage.setItem(name, JSON.stringify(kept)); } catch (error) { /* storage is off or full */ }
  }
  function forget(name) { try { localStorage.removeItem(name); } catch (error) { /* storage is off */ } }
  function fresh(name) {
    var kept = read(name);
    if (kept && Date.now() - kept.when > DAYS * 86400000) { forget(name); return null; }
    return kept;
  }

  function say(form, text, buttons) {
    var note = document.createElement("div");
    note.className = "draft-note message";
    note.setAttribute("role", "status");
    note.tabIndex = -1;
    var line = document.createElement("p");
    line.textContent = text;
    note.appendChild(line);
    var row = document.createElement("p");
    row.className = "actions";
    buttons.forEach(function (one) {
      var button = document.createElement("button");
      button.type = "button";
      button.className = one.kind;
      button.textContent = one.text;
      button.addEventListener("click", function () { one.act(note); });
      row.appendChild(button);
    });
    note.appendChild(row);
    form.insertBefore(note, form.firstChild);
    return note;
  }

  /* Forms of fields. */

  function fields(form) {
    return Array.prototype.filter.call(form.elements, function (field) {
      return field.name && ["hidden", "file", "password", "submit"].indexOf(field.type) < 0;
    });
  }
  function isTicked(field) { return field.type === "checkbox" || field.type === "radio"; }
  function value(field) { return isTicked(field) ? field.checked : field.value; }
  function fill(field, old) { if (isTicked(field)) { field.checked = old; } else { field.value = old; } }
  function place(field) { return field.type === "radio" ? field.name + "=" + field.value : field.name; }
  function version(form) { return form.querySelector("input[name=record_version]"); }

  function now(form) {
    var kept = {};
    fields(form).forEach(function (field) { kept[place(field)] = value(field); });
    return kept;
  }

  function putBack(form) {
    var kept = fresh(key(form)), first = now(form), from = version(form), firstVersion = from && from.value;
    if (!kept || !kept.fields) { return; }
    var changed = fields(form).filter(function (field) {
      var old = kept.fields[place(field)];
      return old !== undefined && old !== value(field);
    });
    if (!changed.length) { return; }
    changed.forEach(function (field) { fill(field, kept.fields[place(field)]); });
    // It was typed beside that version: what somebody saved since is compared, never overwritten.
    if (from && kept.version && form.dataset.version) { from.value = kept.version; }
    form.classList.add("unsaved");
    say(form, words("putBack"), [{ text: words("throwAway"), kind: "plain", act: function (note) {
      forget(key(form));
      fields(form).forEach(function (field) { fill(field, first[place(field)]); });
      if (from) { from.value = firstVersion; }
      form.classList.remove("unsaved");
      note.remove();
    } }]);
  }

  /* Forms of tables. */

  function pairs(form) {
    var found = [];
    new FormData(form).forEach(function (text, name) {
      if (name !== "csrfmiddlewaretoken" && typeof text === "string") { found.push([name, text]); }
    });
    return found;
  }

  /* Send a form as it was at some moment; the server answers with its tables, saving nothing. */
  function rebuild(form, kept, step) {
    var body = new URLSearchParams(kept);
    body.append("step", step);
    return fetch(form.getAttribute("action"), {
      method: "POST", body: body, credentials: "same-origin",
      headers: { "HX-Request": "true", "X-CSRFToken": form.querySelector("[name=csrfmiddlewaretoken]").value }
    }).then(function (answer) {
      var elsewhere = answer.headers.get("HX-Redirect");
      if (elsewhere) { location.assign(elsewhere); return; }
      if (!answer.ok) { throw new Error(String(answer.status)); }
      return answer.text().then(function (text) {
        htmx.swap(form, text, { swapStyle: "outerHTML", swapDelay: 0, settleDelay: 0 });
      });
    });
  }

  function offer(form) {
    var kept = fresh(key(form)), saved = JSON.stringify(pairs(form));
    KEPT_TABLES[form.dataset.draft] = saved;
    if (!kept || !kept.pairs || JSON.stringify(kept.pairs) === saved) { return; }
    var rest = Array.prototype.slice.call(form.children);
    function open() { rest.forEach(function (one) { one.inert = false; }); }
    // Until it is decided nothing is typed over it.
    rest.forEach(function (one) { one.inert = true; });
    say(form, words("offered").replace("%when%", new Date(kept.when).toLocaleString(document.documentElement.lang)), [
      { text: words("restore"), kind: "main", act: function (note) {
        rebuild(form, kept.pairs, "restore").catch(function () { open(); note.remove(); complain(); });
      } },
      { text: words("throwAway"), kind: "", act: function (note) { forget(key(form)); open(); note.remove(); } }
    ]).focus();
  }

  function complain() { document.dispatchEvent(new CustomEvent("htmx:responseError")); }

  function keep(form) {
    var kept = { when: Date.now() };
    if (isTables(form)) {
      kept.pairs = pairs(form);
      if (JSON.stringify(kept.pairs) === KEPT_TABLES[form.dataset.draft]) {
        forget(key(form));
        form.classList.remove("unsaved");
        return;
      }
    } else {
      kept.fields = now(form);
      kept.version = (version(form) || {}).value;
    }
    write(key(form), kept);
    form.classList.add("unsaved");
  }

  /* When. */

  function meet(form) {
    if (form.dataset.draftReady) { return; }
    form.dataset.draftReady = "yes";
    if (form.hasAttribute("data-draft-keep")) { if (isTables(form)) { keep(form); } return; }
    if (isTables(form)) { offer(form); } else { putBack(form); }
  }
  function look(root) {
    if (root && root.matches && root.matches("form[data-draft]")) { meet(root); }
    Array.prototype.forEach.call((root || document).querySelectorAll("form[data-draft]"), meet);
  }
  function saved(draft) { if (draft) { forget(PREFIX + (person || "?") + ":" + draft); } }

  function typed(event) {
    var form = event.target.closest ? event.target.closest("form[data-draft]") : null;
    if (form && form.dataset.draftReady) { keep(form); }
  }
  document.addEventListener("input", typed);
  document.addEventListener("change", typed);
  document.addEventListener("draft-changed", typed);

  document.addEventListener("submit", function (event) {
    var form = event.target;
    if (form.hasAttribute && form.hasAttribute("data-forget-drafts")) {
      Object.keys(localStorage).forEach(function (name) {
        if (name.indexOf(PREFIX + (person || "?") + ":") === 0) { forget(name); }
      });
    } else if (form.dataset && form.dataset.draft) {
      try { sessionStorage.setItem(SENT, key(form)); } catch (error) { /* storage is off */ }
    }
  });
  document.addEventListener("htmx:load", function (event) { if (started) { look(event.detail.elt); } });
  document.addEventListener("record-saved", function (event) { saved(event.detail && event.detail.draft); });

  function start() {
    if (started) { return; }
    started = true;
    person = document.body.dataset.person;
    Array.prototype.forEach.call(document.querySelectorAll("[data-draft-saved]"), function (message) {
      saved(message.dataset.draftSaved);
    });
    try {
      // A form that was sent, and a page that says it is done: its draft is no longer needed.
      if (document.querySelector("#messages .success")) { forget(sessionStorage.getItem(SENT)); }
      sessionStorage.removeItem(SENT);
    } catch (error) { /* storage is off */ }
    look(document);
  }
  if (document.readyState !== "loading") { start(); }
  document.addEventListener("DOMContentLoaded", start);

  window.drafts = { pairs: pairs, rebuild: rebuild, complain: complain };
})();
