/* A booklet's page in a course: tells the frame round it where the learner is, which steps were read, how a test went. */
(function () {
  "use strict";
  if (window.parent === window) { return; }
  var TICK = 500, LONG = 3;
  function say(what) { what.benchleaf = "course"; window.parent.postMessage(what, "*"); }
  function at() { say({ at: location.pathname.split("/").pop() + (location.hash.indexOf("seed=") < 0 ? location.hash : "") }); }
  at();
  window.addEventListener("hashchange", at);

  /* A step is read once the end of its acts has been in sight for a while: it has been scrolled through, or shown by "Next". */
  var steps = document.body.classList.contains("steps") ? Array.prototype.slice.call(document.querySelectorAll(".step[data-step]")) : [];
  var shown = steps.map(function () { return 0; });
  if (steps.length) {
    window.setInterval(function () {
      if (document.visibilityState !== "visible") { return; }
      steps.forEach(function (step, n) {
        if (shown[n] >= LONG) { return; }
        var box = step.querySelector(".words").getBoundingClientRect();
        if (!step.getClientRects().length || box.bottom <= 0 || box.bottom > window.innerHeight) { return; }
        shown[n] += 1;
        if (shown[n] === LONG) {
          say({ sequence: location.pathname.split("/").pop().replace(/\.html$/, ""), step: Number(step.getAttribute("data-step")) });
          if (history.replaceState) { say({ at: location.pathname.split("/").pop() + "#" + step.id }); }
        }
      });
    }, TICK);
  }

  /* The frame gives tests their names; keys and papers of such a name are the trainer's. */
  document.addEventListener("benchleaf:test", function (e) { say({ test: e.detail }); });
  if (document.querySelector(".test")) {
    Array.prototype.forEach.call(document.querySelectorAll("[data-show=key], [data-show=paper]"), function (b) { b.hidden = true; });
  }
}());
