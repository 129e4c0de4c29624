/* Presenter's notes: they follow the window that opened them, and send it on. Alone they are a page to read. */
(function () {
  "use strict";
  var doc = document, body = doc.body, key = body.getAttribute("data-booklet") + " " + body.getAttribute("data-class");
  var notes = Array.prototype.slice.call(doc.querySelectorAll(".note")), wall = doc.querySelector(".wall"), clock = wall.querySelector(".clock");
  var heard = false, began = Date.now();
  if (!window.opener) { return; }

  function say(what) {
    what.benchleaf = key;
    if (window.opener && !window.opener.closed) { window.opener.postMessage(what, "*"); }
  }
  function show(step, part, parts) {
    if (!heard) { heard = true; body.classList.add("following"); wall.hidden = false; }
    notes.forEach(function (n) { n.classList.toggle("on", Number(n.getAttribute("data-step")) === Math.max(step, 1)); });
    wall.querySelector(".at").textContent = step + " / " + notes.length + (parts > 1 ? " " + new Array(part + 2).join("\u25cf") + new Array(parts - part).join("\u25cb") : "");
    window.scrollTo(0, 0);
  }
  function whole(n, most) { return typeof n === "number" && n === Math.floor(n) && n >= 0 && n <= most; }
  window.addEventListener("message", function (e) {
    var said = e.data;
    if (e.source !== window.opener || !said || said.benchleaf !== key) { return; }
    if (whole(said.step, notes.length) && whole(said.part, 99) && whole(said.parts, 99) && (said.part < said.parts || said.part === 0)) { show(said.step, said.part, said.parts); }
  });
  wall.querySelector(".back").addEventListener("click", function () { say({ go: -1 }); });
  wall.querySelector(".next").addEventListener("click", function () { say({ go: 1 }); });
  doc.addEventListener("keydown", function (e) {
    if (!heard || e.altKey || e.ctrlKey || e.metaKey) { return; }
    var by = { PageDown: 1, ArrowRight: 1, PageUp: -1, ArrowLeft: -1 }[e.key];
    if (by) { e.preventDefault(); say({ go: by }); }
  });
  /* Said again and again: the class view may be opened anew in its window, and then asks who is there. */
  function hello() { say({ hello: true }); }
  setInterval(hello, 1500);
  hello();
  setInterval(function () {
    var s = Math.floor((Date.now() - began) / 1000), two = s % 60 < 10 ? "0" : "";
    clock.textContent = Math.floor(s / 60) + ":" + two + s % 60;
  }, 1000);
}());
