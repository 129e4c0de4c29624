/* Class view: what is told of a step is dealt out in parts that fit beside its picture, at the size that the room needs. */
(function () {
  "use strict";
  function all(node, selector) { return Array.prototype.slice.call(node.querySelectorAll(selector)); }
  function show(beats, part) {
    beats.forEach(function (beat) {
      var mine = part.indexOf(beat) >= 0 || all(beat, "[data-item]").some(function (i) { return part.indexOf(i) >= 0; });
      beat.hidden = !mine;
      all(beat, "[data-item]").forEach(function (i) { i.hidden = part.indexOf(i) < 0; });
    });
  }
  /* Return the parts of a slide that is to be seen: lists of items, each list as many of one kind as there is room for. */
  function deal(slide) {
    var box = slide.querySelector(".told-to"), beats = all(box, "[data-beat]"), parts = [];
    box.classList.remove("tight");
    function fits() { return box.scrollHeight <= box.clientHeight + 1; }
    beats.forEach(function (beat) {
      var part = [];
      all(beat, "[data-item]").forEach(function (item) {
        show(beats, part.concat(item));
        if (part.length && !fits()) { parts.push(part); part = []; show(beats, [item]); }
        if (!fits()) { box.classList.add("tight"); }
        part.push(item);
      });
      if (part.length) { parts.push(part); }
    });
    return parts;
  }
  window.benchleafClass = {
    deal: deal,
    show: function (slide, part) { show(all(slide, "[data-beat]"), part || []); }
  };
}());
