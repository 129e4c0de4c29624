/* Ticks of a part: how many there are, and all taken away at once, here and in what the browser keeps. */
(function () {
  "use strict";
  var row = document.querySelector(".ticks"), boxes = Array.prototype.slice.call(document.querySelectorAll(".tick input"));
  if (!row || !boxes.length) { return; }
  var out = row.querySelector("output"), button = row.querySelector("[data-do=reset]");
  function show() {
    var done = boxes.filter(function (b) { return b.checked; }).length;
    out.textContent = out.getAttribute("data-said").replace("{done}", done);
    row.hidden = done === 0;
  }
  boxes.forEach(function (b) { b.addEventListener("change", show); });
  button.addEventListener("click", function () {
    if (!window.confirm(button.getAttribute("data-ask"))) { return; }
    /* Through its own event, so that what keeps the ticks hears of it. */
    boxes.forEach(function (b) { if (b.checked) { b.checked = false; b.dispatchEvent(new Event("change", { bubbles: true })); } });
    show();
  });
  show();
}());
