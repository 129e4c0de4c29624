/* Booklet pages: where you are, onward by big buttons or arrow keys, entries kept in this browser (those of a job: record.js).
   Nothing here is needed to read or print a page. */
(function () {
  "use strict";
  var doc = document;

  function each(selector, act) { Array.prototype.forEach.call(doc.querySelectorAll(selector), act); }

  /* Entries, kept under the names of library and booklet: pages on disk share one place. A browser that keeps nothing is no fault. */
  var name = "benchleaf:" + (doc.body.getAttribute("data-booklet") || "") + ":";
  function keep(key, value) { try { localStorage.setItem(name + key, value); } catch (e) { /* not kept */ } }
  function kept(key) { try { return localStorage.getItem(name + key); } catch (e) { return null; } }

  each("[data-keep]", function (field) {
    var key = field.getAttribute("data-keep"), box = field.type === "checkbox", choice = field.type === "radio", was = kept(key);
    if (was !== null) { if (box) { field.checked = was === "1"; } else if (choice) { field.checked = was === field.value; } else { field.value = was; } }
    field.addEventListener(box || choice ? "change" : "input", function () { keep(key, box ? (field.checked ? "1" : "0") : field.value); });
  });

  each(".buttons", function (row) { row.hidden = false; });
  each("[data-do=print]", function (b) { b.hidden = false; b.addEventListener("click", function () { window.print(); }); });
  /* A figure that is linked to opens; paper shows all of them. */
  function unfold() {
    var at = location.hash.length > 1 ? doc.getElementById(location.hash.slice(1)) : null;
    if (at && at.tagName === "DETAILS") { at.open = true; }
  }
  window.addEventListener("hashchange", unfold);
  unfold();
  window.addEventListener("beforeprint", function () { each("details.worked:not([open])", function (d) { d.open = true; d.setAttribute("data-opened", ""); }); });
  window.addEventListener("afterprint", function () { each("details[data-opened]", function (d) { d.open = false; d.removeAttribute("data-opened"); }); });

  var current = doc.querySelector(".tabs [aria-current]");
  if (current) { current.parentNode.scrollLeft = current.offsetLeft - current.parentNode.offsetLeft - 24; }

  /* Where you are */
  var steps = Array.prototype.slice.call(doc.querySelectorAll(".step")), thumb = doc.querySelector(".thumb");
  if (!thumb || !steps.length) { return; }
  /* Onward is where the page's language is read to. */
  var backwards = doc.documentElement.dir === "rtl", ahead = backwards ? "ArrowLeft" : "ArrowRight", behind = backwards ? "ArrowRight" : "ArrowLeft";
  var now = doc.querySelector(".now"), links = Array.prototype.slice.call(doc.querySelectorAll(".strip a"));
  var back = thumb.querySelector(".back"), next = thumb.querySelector(".next"), at = thumb.querySelector(".at"), here = -1;

  function line() { return doc.querySelector(".bar").getBoundingClientRect().bottom + window.innerHeight * 0.3; }
  function find() {
    var found = -1, y = line();
    for (var i = 0; i < steps.length; i++) { if (steps[i].getBoundingClientRect().top <= y) { found = i; } }
    return found;
  }
  function show() {
    var i = find();
    if (i === here) { return; }
    here = i;
    var step = i < 0 ? null : steps[i], past = true;
    links.forEach(function (a) {
      var mine = step && a.getAttribute("data-section") === step.getAttribute("data-section");
      if (mine) { past = false; }
      a.className = mine ? "here" : step && past ? "past" : "";
      if (mine) { a.setAttribute("aria-current", "true"); } else { a.removeAttribute("aria-current"); }
    });
    now.textContent = step ? step.querySelector(".at-step").textContent : "";
    at.textContent = (i + 1) + " / " + steps.length;
    back.disabled = i < 0;
    next.disabled = i === steps.length - 1;
  }
  function go(i) {
    var target = i < 0 ? doc.getElementById("content") : steps[Math.min(i, steps.length - 1)];
    target.scrollIntoView();
    show();  /* at once: the next press must count from here, however late the scroll event comes */
    if (i >= 0) { history.replaceState(null, "", "#" + target.id); }
  }
  thumb.hidden = false; now.hidden = false;
  back.addEventListener("click", function () { go(here - 1); });
  next.addEventListener("click", function () { go(here + 1); });
  doc.addEventListener("keydown", function (e) {
    if (e.altKey || e.ctrlKey || e.metaKey || e.shiftKey || /^(INPUT|TEXTAREA|SELECT)$/.test(e.target.tagName)) { return; }
    if (e.key === ahead) { go(here + 1); e.preventDefault(); }
    if (e.key === behind) { go(here - 1); e.preventDefault(); }
  });
  var waiting = false;
  window.addEventListener("scroll", function () {
    if (!waiting) { waiting = true; requestAnimationFrame(function () { waiting = false; show(); }); }
  }, { passive: true });
  window.addEventListener("resize", show);
  function measure() {
    var bar = doc.querySelector(".bar"), pages = bar.querySelector(".pages").offsetHeight;
    var held = getComputedStyle(bar).top === "0px" ? 0 : pages;
    doc.body.style.setProperty("--pages", pages + "px");
    doc.body.style.setProperty("--bar", bar.offsetHeight - held + "px");
  }
  window.addEventListener("resize", measure);
  show();
  measure();
  if (location.hash) { var start = doc.getElementById(location.hash.slice(1)); if (start) { start.scrollIntoView(); } }
}());
