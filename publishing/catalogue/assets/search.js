// The search page: a field, a list of links, and the keys that move between them.
"use strict";
(() => {
  const SHOWN = 40;
  const box = document.querySelector("[data-search]");
  const field = box.querySelector("input[type=search]"), list = document.querySelector("#results");
  const said = document.querySelector("#said"), slash = box.querySelector("#slash");
  const words = JSON.parse(box.dataset.words);
  const finder = self.makeFinder(self.searchData);

  const put = (parent, name, text, of = "") => {
    const made = document.createElement(name);
    made.textContent = text;
    if (of) made.className = of;
    parent.append(made);
    return made;
  };
  const show = () => {
    const query = field.value.trim(), found = query ? finder.find(query) : [];
    list.replaceChildren();
    for (const one of found.slice(0, SHOWN)) {
      const item = put(list, "li", "");
      put(item, "span", words.kinds[one.kind], "when");
      const told = put(item, "span", "");
      put(told, "a", one.heading).href = `${words.folders[one.kind]}/${encodeURIComponent(one.reference)}.html`;
      if (one.near) { told.append(" "); put(told, "span", words.near, "tag"); }
      put(told, "br", "");
      const why = one.why.map((reason) => `${words.fields[reason.field]}: ${reason.text}`);
      const places = one.why.some((reason) => reason.field === 2) ? [] : one.places.slice(0, 1);
      put(told, "span", [...places, ...why].join(" · "), "quiet small");
    }
    said.textContent = !query ? "" : !found.length ? words.none
      : found.length > SHOWN ? words.many.replace("{n}", found.length).replace("{shown}", SHOWN)
      : found.length === 1 ? words.one : words.some.replace("{n}", found.length);
    try { history.replaceState(null, "", query ? `#q=${encodeURIComponent(query)}` : "#"); } catch { /* the page works without */ }
  };
  const read = () => {
    const query = location.hash.startsWith("#q=") ? location.hash.slice(3) : "";
    try { field.value = decodeURIComponent(query); } catch { field.value = query; }
  };
  const move = (event) => {
    const links = [...list.querySelectorAll("a")], at = links.indexOf(document.activeElement);
    if (event.key === "/" && slash.checked && document.activeElement !== field) field.focus();
    else if (event.key === "Escape" && at >= 0) field.focus();
    else if (event.key === "Enter" && document.activeElement === field && links.length) links[0].click();
    else if (event.key === "ArrowDown" && (at >= 0 || document.activeElement === field) && links[at + 1]) links[at + 1].focus();
    else if (event.key === "ArrowUp" && at >= 0) (links[at - 1] || field).focus();
    else return;
    event.preventDefault();
  };
  let waiting = 0;
  field.addEventListener("input", () => { clearTimeout(waiting); waiting = setTimeout(show, 60); });
  document.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.key === "Enter" && document.activeElement === field) { clearTimeout(waiting); show(); }
    move(event);
  });
  box.hidden = false;
  read();
  show();
  if (field.value) return;
  field.focus();
})();
