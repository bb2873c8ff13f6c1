// Narrows long tables to the rows that hold some letters. Without this script every row is there.
"use strict";
for (const box of document.querySelectorAll(".filtered")) {
  const rows = [...box.querySelectorAll("tbody tr")];
  if (rows.length < 8) continue;
  const label = document.createElement("label");
  label.className = "filter small";
  label.append(box.dataset.words + " ");
  const field = document.createElement("input");
  field.type = "search";
  label.append(field);
  box.prepend(label);
  field.addEventListener("input", () => {
    const wanted = field.value.trim().toLowerCase();
    for (const row of rows) row.hidden = !row.textContent.toLowerCase().includes(wanted);
  });
}
