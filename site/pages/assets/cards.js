/* Cards: "Back" goes to where the reader came from, the step or the front page; without script, to the front page. */
(function () {
  "use strict";
  var back = document.querySelector(".thumb .back");
  if (!back || history.length < 2) { return; }
  back.addEventListener("click", function (e) {
    if (e.altKey || e.ctrlKey || e.metaKey || e.shiftKey) { return; }
    e.preventDefault();
    history.back();
  });
}());
