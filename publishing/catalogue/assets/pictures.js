// Pictures enlarged in the page: a dialog, its keys, and the way back. Without this script a picture opens as a file.
"use strict";
(() => {
  const links = [...document.querySelectorAll("a.enlarge")];
  if (!links.length || !window.HTMLDialogElement) return;
  const words = JSON.parse(document.querySelector("[data-pictures]").dataset.pictures);
  const dialog = document.createElement("dialog");
  dialog.className = "lightbox";
  dialog.setAttribute("aria-label", words.label);
  const put = (parent, name, of, text = "") => {
    const made = document.createElement(name);
    made.className = of;
    made.textContent = text;
    parent.append(made);
    return made;
  };
  const view = put(dialog, "div", "view"), told = put(dialog, "p", "small"), bar = put(dialog, "div", "bar");
  told.setAttribute("role", "status");
  const key = (text, work) => {
    const made = put(bar, "button", "plain", text);
    made.type = "button";
    made.addEventListener("click", work);
    return made;
  };
  let at = 0;
  const show = (next) => {
    at = (next + links.length) % links.length;
    const frame = links[at].closest(".frame"), figure = frame.closest("figure");
    const image = frame.querySelector("img"), large = new Image(image.width, image.height);
    large.alt = image.alt;
    large.src = links[at].href;
    const marks = frame.querySelector("svg.over");
    view.replaceChildren(large, ...(marks ? [marks.cloneNode(true)] : []));
    const place = words.place.replace("{n}", at + 1).replace("{all}", links.length);
    const legend = [...figure.querySelectorAll(".legend li")].map((one) => `${one.value} ${one.textContent}`).join(" · ");
    told.textContent = [place, figure.querySelector("figcaption").textContent.trim(), legend].filter(Boolean).join(" — ");
  };
  key(words.close, () => dialog.close());
  if (links.length > 1) {
    key(words.earlier, () => show(at - 1));
    key(words.later, () => show(at + 1));
  }
  dialog.addEventListener("keydown", (event) => {
    if (event.key === "ArrowRight") show(at + 1);
    else if (event.key === "ArrowLeft") show(at - 1);
    else if (event.key === "Home") show(0);
    else if (event.key === "End") show(links.length - 1);
    else return;
    event.preventDefault();
  });
  dialog.addEventListener("click", (event) => { if (event.target === dialog) dialog.close(); });
  dialog.addEventListener("close", () => links[at].focus());
  document.body.append(dialog);
  links.forEach((link, number) => link.addEventListener("click", (event) => {
    if (event.ctrlKey || event.metaKey || event.shiftKey) return;
    event.preventDefault();
    show(number);
    dialog.showModal();
  }));
})();
