// Lists that narrow and sort themselves. Without this script every row is there, in the order of the page.
"use strict";
(() => {
  const fold = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  const order = new Intl.Collator(document.documentElement.lang, { numeric: true, sensitivity: "base" });
  const make = (parent, name, words) => {
    const box = document.createElement("label");
    box.className = "small";
    box.append(words, document.createElement(name));
    parent.append(box);
    return box.lastChild;
  };
  const number = (text) => (/^[–-]?$/.test(text) ? -Infinity : Number.parseFloat(text.replace(/[\s\u00a0]/g, "")));

  const narrow = (host, rows, words, facets) => {
    // The page keeps the room for it, empty, so that nothing moves when this script comes.
    const sieve = host.previousElementSibling, said = document.createElement("p");
    sieve.setAttribute("role", "search");
    const of = host.getAttribute("aria-label");  // several lists of one page are told apart by their names
    sieve.setAttribute("aria-label", of ? `${words.label}: ${of}` : words.label);
    said.className = "small";
    said.setAttribute("role", "status");
    const field = make(sieve, "input", words.filter);
    field.type = "search";
    const held = rows.map((row) => fold(row.textContent));
    const values = rows.map((row) => JSON.parse(row.dataset.facets || "{}"));
    const chosen = Object.entries(facets).map(([name, label]) => {
      const counts = new Map();
      for (const one of values) for (const value of one[name] || []) counts.set(value, (counts.get(value) || 0) + 1);
      if (counts.size < 2) return null;
      const select = make(sieve, "select", label);
      select.append(new Option(words.any, ""));
      for (const value of [...counts.keys()].sort(order.compare)) select.append(new Option(`${value} (${counts.get(value)})`, value));
      return [name, select];
    }).filter(Boolean);
    const apply = () => {
      const wanted = fold(field.value).split(/\s+/).filter(Boolean);
      let left = 0;
      rows.forEach((row, at) => {
        const shown = wanted.every((word) => held[at].includes(word)) &&
          chosen.every(([name, select]) => !select.value || (values[at][name] || []).includes(select.value));
        row.hidden = !shown;
        if (shown) left++;
      });
      said.textContent = words.left.replace("{n}", left).replace("{all}", rows.length);
    };
    field.addEventListener("input", apply);
    for (const [, select] of chosen) select.addEventListener("change", apply);
    sieve.append(said);
  };

  const sortable = (table, rows) => {
    const body = table.tBodies[0], heads = [...table.tHead.rows[0].cells];
    heads.forEach((head, column) => {
      const key = document.createElement("button");
      key.type = "button";
      key.className = "sort";
      key.append(...head.childNodes);
      head.append(key);
      const numbers = head.classList.contains("n");
      const value = (row) => row.cells[column].dataset.sort ?? row.cells[column].textContent.trim();
      key.addEventListener("click", () => {
        const down = head.getAttribute("aria-sort") === "ascending";
        for (const other of heads) other.removeAttribute("aria-sort");
        head.setAttribute("aria-sort", down ? "descending" : "ascending");
        const sign = down ? -1 : 1;
        const keyed = rows.map((row) => [numbers ? number(value(row)) : value(row), row]);
        // What has no value stays last, whichever way one sorts.
        const none = (one) => one === "" || one === -Infinity;
        keyed.sort(([a], [b]) => none(a) - none(b) || (none(a) ? 0 : sign * (numbers ? a - b : order.compare(a, b))));
        body.append(...keyed.map(([, row]) => row));
      });
    });
  };

  for (const list of document.querySelectorAll("[data-list]")) {
    const words = JSON.parse(list.dataset.list), table = list.querySelector("table");
    const rows = [...(table ? table.tBodies[0].rows : list.children)];
    if (table) sortable(table, rows);
    if (list.previousElementSibling?.matches(".sieve")) narrow(list, rows, words, words.facets || {});
  }
})();
