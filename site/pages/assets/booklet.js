/* Booklet pages: where you are, onward by big buttons or arrow keys, ticks and readings kept in this browser.
   Nothing here is needed to read or print a page. */
(function () {
  "use strict";
  var doc = document;

  function each(selector, act) { Array.prototype.forEach.call(doc.querySelectorAll(selector), act); }

  /* Ticks and readings, kept under the names of library and booklet: pages on disk share one place. A browser that keeps nothing is no fault. */
  var name = "benchleaf:" + (doc.body.getAttribute("data-booklet") || "") + ":";
  function keep(key, value) { try { localStorage.setItem(name + key, value); } catch (e) { /* not kept */ } }
  function kept(key) { try { return localStorage.getItem(name + key); } catch (e) { return null; } }
  function drop(key) { try { localStorage.removeItem(name + key); } catch (e) { /* not kept */ } }

  each("[data-keep]", function (field) {
    var key = field.getAttribute("data-keep"), box = field.type === "checkbox", choice = field.type === "radio", was = kept(key);
    if (was !== null) { if (box) { field.checked = was === "1"; } else if (choice) { field.checked = was === field.value; } else { field.value = was; } }
    field.addEventListener(box || choice ? "change" : "input", function () { keep(key, box ? (field.checked ? "1" : "0") : field.value); });
  });

  /* Readings against the limits that the page carries */
  var sheet = doc.querySelector("form.sheet");
  function number(text) {
    var plain = text.trim().replace(",", ".").replace("\u2212", "-");
    return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : NaN;
  }
  /* The same sums as the program's own verdict on a reading, Judging.verdict; what guards it, and whether, stands at the instrument. */
  function verdict(n, guard, guarded, low, high, floor) {
    if (floor !== null && n < floor) { return "below"; }
    if (low === null && high === null) { return "nolimits"; }
    var least = low === null ? -Infinity : low, most = high === null ? Infinity : high;
    if (least + guard <= n && n <= most - guard) { return "within"; }
    if (guarded) { return n < least - guard || n > most + guard ? "outside" : "open"; }
    return least <= n && n <= most ? "near" : "outside";
  }
  /* A torque wrench's entry, WrenchSetting.verdict */
  function setting(n, row, low, high) {
    var least = number(row.querySelector(".least").value), most = number(row.querySelector(".most").value);
    if (n < 0) { return "below"; }
    if ((low !== null && n < low) || (high !== null && n > high)) { return "outside"; }
    if (n < least || n > most) { return "beyond"; }
    if (isNaN(least) || isNaN(most) || row.querySelector(".certificate").value.trim() === "" || !row.querySelector(".clicked").checked) { return "incomplete"; }
    return low === null && high === null ? "nolimitsset" : "set";
  }
  function figure(node, name) { var text = node.getAttribute("data-" + name); return text === null ? null : Number(text); }
  function judge(field) {
    var out = field.closest("tr").querySelector(".result"), text = field.value;
    var low = figure(field, "low"), high = figure(field, "high"), state = "";
    if (text.trim() !== "") {
      var n = number(text), choice = field.closest("td").querySelector("select");
      var tool = choice ? choice.options[choice.selectedIndex] : field;
      if (isNaN(n)) { state = "nan"; }
      else if (field.classList.contains("setting")) { state = setting(n, field.closest("tr"), low, high); }
      else { state = verdict(n, figure(tool, "guard"), tool.hasAttribute("data-guarded"), low, high, figure(field, "floor")); }
    }
    out.className = "result " + state;
    out.textContent = state ? sheet.getAttribute("data-" + state) : "";
  }
  if (sheet) {
    each(".reading", function (field) {
      judge(field);
      Array.prototype.forEach.call(field.closest("td").querySelectorAll("input, select"), function (part) {
        part.addEventListener(part.type === "checkbox" || part.tagName === "SELECT" ? "change" : "input", function () { judge(field); });
      });
    });
    sheet.addEventListener("submit", function (e) { e.preventDefault(); });
  }
  each(".buttons", function (row) { row.hidden = false; });
  each("[data-do=print]", function (b) { b.hidden = false; b.addEventListener("click", function () { window.print(); }); });
  each("[data-do=clear]", function (b) {
    b.addEventListener("click", function () {
      if (!window.confirm(sheet.getAttribute("data-ask"))) { return; }
      each("form.sheet [data-keep]", function (f) { if (f.type === "radio" || f.type === "checkbox") { f.checked = false; } else if (f.tagName === "SELECT") { f.selectedIndex = 0; } else { f.value = ""; } drop(f.getAttribute("data-keep")); });
      each(".reading", judge);
    });
  });

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
    if (e.key === "ArrowRight") { go(here + 1); e.preventDefault(); }
    if (e.key === "ArrowLeft") { go(here - 1); e.preventDefault(); }
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
