/* The menu of the booklet's parts closes by Escape, by a press beside it, and when a part of this page is chosen. */
(function () {
  "use strict";
  var menu = document.querySelector(".menu");
  if (!menu) { return; }
  document.addEventListener("keydown", function (e) {
    if (e.key === "Escape" && menu.open) { menu.open = false; menu.querySelector("summary").focus(); }
  });
  document.addEventListener("click", function (e) {
    if (menu.open && (!menu.contains(e.target) || e.target.closest(".menu a"))) { menu.open = false; }
  });
}());
