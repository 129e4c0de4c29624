/* Steps in 3D: the viewer and the head's model are loaded when first asked for, and take the place of a step's picture.
   Without this script, or without WebGL, the picture stays. */
(function () {
  "use strict";
  var doc = document, own = doc.currentScript, view = null, opener = null;
  var buttons = Array.prototype.slice.call(doc.querySelectorAll(".in-3d"));

  function plate(id) { return doc.querySelector('.in-3d[data-step="' + id + '"]').closest(".plate"); }
  function say(button, text) {
    var line = doc.createElement("p");
    line.className = "in-3d-none"; line.setAttribute("role", "status"); line.textContent = text;
    button.replaceWith(line);
  }
  function home(id) {
    Array.prototype.forEach.call(doc.querySelectorAll(".plate.turning"), function (p) { p.classList.remove("turning"); });
    plate(id).classList.add("turning");
    return plate(id);
  }
  /* On a page of steps the step is scrolled to; the class view, which shows one at a time, is asked for it. */
  function bring(id) {
    var at = plate(id).closest(".step, .slide");
    if (at.classList.contains("slide")) { doc.dispatchEvent(new CustomEvent("benchleaf:go", { detail: at.id })); } else { at.scrollIntoView(); }
  }
  /* The words beside belong to the step that is shown. */
  function follow(id) {
    if (view.panel.isFull) { return; }
    var to = home(id), moved = view.panel.root.parentNode !== to;
    if (!moved) { return; }
    var at = doc.activeElement, held = at && view.panel.root.contains(at);
    to.append(view.panel.root);
    /* First in sight: what is not seen takes no focus. */
    bring(id);
    if (held) { at.focus({ preventScroll: true }); }
  }
  function closed(which) {
    if (view !== which) { return; }
    var id = which.at && which.at.id, button = id && plate(id) && plate(id).querySelector(".in-3d");
    view = null;
    Array.prototype.forEach.call(doc.querySelectorAll(".plate.turning"), function (p) { p.classList.remove("turning"); });
    if (button || opener) { (button || opener).focus({ preventScroll: true }); }
  }
  function open(button) {
    var id = button.getAttribute("data-step"), text = button.textContent;
    var asked = window.benchleafLoad.viewer(function () { return home(id); }, function () {
      return {
        step: id, onClose: closed, homeOf: home,
        onStep: function (step) { if (view) { follow(step); } },
        onHome: bring
      };
    });
    if (!asked) { say(button, own.getAttribute("data-cannot")); return; }
    opener = button;
    button.disabled = true; button.textContent = own.getAttribute("data-loading");
    asked.then(function (opened) {
      view = opened;
      view.panel.root.setAttribute("data-own-keys", "");
      button.disabled = false; button.textContent = text;
      view.panel.canvas.focus({ preventScroll: true });
      performance.mark("viewer-ready");
    }).catch(function () {
      Array.prototype.forEach.call(doc.querySelectorAll(".plate.turning"), function (p) { p.classList.remove("turning"); });
      say(button, own.getAttribute("data-cannot"));
    });
  }
  /* The class goes on: what is turned of the step before is put away. */
  doc.addEventListener("benchleaf:step", function () {
    if (view && !view.panel.root.closest(".slide.on")) { view.close(); }
  });
  Array.prototype.forEach.call(doc.querySelectorAll(".no-3d"), function (line) { line.remove(); });
  buttons.forEach(function (button) {
    button.hidden = false;
    button.addEventListener("click", function () {
      if (view) { view.close(); }
      performance.mark("viewer-asked");
      open(button);
    });
  });
}());
