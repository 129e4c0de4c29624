/* Class view: one step at a time, by buttons, keys or a clicker; the presenter's notes follow in a window of their own.
   Windows of pages on disk talk by messages to each other alone, and say only which step is shown and whether to go on. */
(function () {
  "use strict";
  var doc = document, body = doc.body, deal = window.benchleafClass;
  var slides = Array.prototype.slice.call(doc.querySelectorAll(".slide")), wall = doc.querySelector(".wall"), black = doc.querySelector(".black");
  if (!wall || slides.length < 2) { return; }
  var at = wall.querySelector(".at"), key = body.getAttribute("data-booklet") + " " + body.getAttribute("data-class");
  var here = 0, part = 0, parts = [], notes = null, last = slides.length - 1;

  function tell() {
    if (notes && !notes.closed) { notes.postMessage({ benchleaf: key, step: here, part: part, parts: parts.length }, "*"); }
  }
  function still() { Array.prototype.forEach.call(slides[here].querySelectorAll("details.film[open]"), function (f) { f.open = false; }); }
  function show(to, end) {
    var moved = to !== here;
    if (moved) { still(); }
    here = Math.max(0, Math.min(to, last));
    slides.forEach(function (s, n) { s.classList.toggle("on", n === here); });
    /* What comes next is fetched ahead, so that it is there at once. */
    [here, here + 1].forEach(function (n) { if (slides[n]) { Array.prototype.forEach.call(slides[n].querySelectorAll(".shown img"), function (i) { i.loading = "eager"; }); } });
    parts = here ? deal.deal(slides[here]) : [];
    part = end ? Math.max(parts.length - 1, 0) : 0;
    paint();
    window.scrollTo(0, 0);
    if (moved) { doc.dispatchEvent(new CustomEvent("benchleaf:step", { detail: { sequence: body.getAttribute("data-class"), step: here } })); }
    history.replaceState(null, "", "#" + slides[here].id);
  }
  function paint() {
    if (here) { deal.show(slides[here], parts[part]); }
    at.textContent = here + " / " + last + (parts.length > 1 ? " " + new Array(part + 2).join("\u25cf") + new Array(parts.length - part).join("\u25cb") : "");
    wall.querySelector(".back").disabled = here === 0;
    wall.querySelector(".next").disabled = here === last && part >= parts.length - 1;
    tell();
  }
  function go(by) {
    light();
    if (by > 0 && part < parts.length - 1) { part += 1; paint(); }
    else if (by < 0 && part > 0) { part -= 1; paint(); }
    else if (here + by >= 0 && here + by <= last) { show(here + by, by < 0); }
  }
  function light() { black.hidden = true; }
  function full() {
    if (doc.fullscreenElement) { doc.exitFullscreen(); }
    else if (doc.documentElement.requestFullscreen) { doc.documentElement.requestFullscreen().catch(function () { /* the browser allows none here */ }); }
  }
  function open() {
    notes = window.open(body.getAttribute("data-notes"), "notes " + key, "popup,width=760,height=900");
    tell();
  }
  function film() {
    var f = slides[here].querySelector("details.film");
    if (f) { f.open = !f.open; }
  }
  var does = { begin: function () { show(1); full(); }, full: full, notes: open };
  Object.keys(does).forEach(function (name) {
    Array.prototype.forEach.call(doc.querySelectorAll("[data-do=" + name + "]"), function (b) { b.addEventListener("click", does[name]); });
  });
  wall.querySelector(".back").addEventListener("click", function () { go(-1); });
  wall.querySelector(".next").addEventListener("click", function () { go(1); });
  black.addEventListener("click", light);

  var keys = {
    PageDown: function () { go(1); }, ArrowRight: function () { go(1); }, ArrowDown: function () { go(1); }, " ": function () { go(1); },
    PageUp: function () { go(-1); }, ArrowLeft: function () { go(-1); }, ArrowUp: function () { go(-1); },
    Home: function () { show(0); }, End: function () { show(last); },
    b: function () { black.hidden = !black.hidden; }, ".": function () { black.hidden = !black.hidden; },
    f: full, m: film, n: open
  };
  doc.addEventListener("keydown", function (e) {
    if (e.altKey || e.ctrlKey || e.metaKey || e.defaultPrevented) { return; }
    /* Keys of what has the focus stay its own: a button's space, a field's letters, a dialog's all. */
    if (e.target.closest("input, textarea, select, dialog[open], [role=dialog], [data-own-keys]")) { return; }
    if (e.key === " " && e.target.closest("button, a, summary")) { return; }
    var act = keys[e.key.length === 1 ? e.key.toLowerCase() : e.key];
    if (act) { e.preventDefault(); act(); }
  });
  window.addEventListener("message", function (e) {
    var said = e.data;
    if (!e.source || e.source === window || !said || said.benchleaf !== key) { return; }
    if (said.hello === true) { notes = e.source; tell(); }
    else if (e.source === notes && (said.go === 1 || said.go === -1)) { go(said.go); }
  });
  doc.addEventListener("benchleaf:go", function (e) {
    var to = slides.map(function (s) { return s.id; }).indexOf(e.detail);
    if (to >= 0 && to !== here) { show(to); }
  });
  var timer = 0;
  window.addEventListener("resize", function () { clearTimeout(timer); timer = setTimeout(function () { if (here) { parts = deal.deal(slides[here]); part = Math.min(part, parts.length - 1); paint(); } }, 120); });

  body.classList.add("presenting");
  wall.hidden = false;
  var asked = slides.map(function (s) { return s.id; }).indexOf(location.hash.slice(1));
  function start() { show(Math.max(asked, 0)); }
  if (doc.fonts && doc.fonts.ready) { doc.fonts.ready.then(start); } else { start(); }
}());
