/* What pages on which a learner is asked share: elements, filled texts, cuts of the booklet's pictures. */
window.benchleafLearn = (function () {
  "use strict";
  function make(tag, text, name) {
    var e = document.createElement(tag);
    if (text) { e.textContent = text; }
    if (name) { e.className = name; }
    return e;
  }
  function filled(text, fields) { return text.replace(/\{(\w+)\}/g, function (_, k) { return String(fields[k]); }); }
  /* A cut of a picture; without one an empty place of its size. `alt` is empty where words stand beside it; what may be printed
     is not loaded late. */
  function cut(pic, alt, late) {
    var box = make("span", "", pic ? "cut" : "cut none"), image;
    if (!pic) { return box; }
    image = document.createElement("img");
    image.width = pic.size[0]; image.height = pic.size[1];
    image.alt = alt || ""; image.loading = late ? "lazy" : "eager"; image.decoding = "async"; image.draggable = false;
    image.style.width = pic.wide + "%"; image.style.left = pic.left + "%"; image.style.top = pic.top + "%";
    image.src = pic.src;
    box.appendChild(image);
    return box;
  }
  return { make: make, filled: filled, cut: cut };
}());
