/* The button that prints a page; pages read and print without it. */
(function () {
  "use strict";
  document.addEventListener("click", function (event) {
    if (event.target.closest && event.target.closest("[data-print]")) { window.print(); }
  });
})();
