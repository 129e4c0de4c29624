/* Practice in 3D: the head as far as it is put together, what is left laid out before it; a part that is tapped is chosen.
   The viewer and its model are loaded when first asked for; without WebGL the tiles are all there is. */
(function () {
  "use strict";
  var doc = document, own = doc.currentScript, open = null;

  /* Along the shafts before the head, farther apart than they will be. */
  function laidOut(model, pose) {
    var heights = model.parts.map(function (p) { return p.pose[2]; });
    var low = Math.min.apply(null, heights), high = Math.max.apply(null, heights);
    return [pose[0], pose[1], high + model.extent * 0.35 + (pose[2] - low) * 2.2].concat(pose.slice(3));
  }
  function shown(drill, done, model) {
    var data = drill.data, into = drill.section.hasAttribute("data-into"), all = {}, last = {}, latest = done[done.length - 1];
    data.choices.forEach(function (c) { if (!c.work) { c.parts.forEach(function (p) { all[p] = false; }); } });
    done.forEach(function (n) { if (!data.choices[n].work) { data.choices[n].parts.forEach(function (p) { all[p] = true; last[p] = n === latest; }); } });
    return model.parts.map(function (part) {
      var moved = part.id in all, there = !moved || all[part.id] === into;
      return { part: part.id, role: last[part.id] ? "moving" : there ? "context" : "plain", pose: there ? part.pose : laidOut(model, part.pose) };
    });
  }
  function choice(drill, part) {
    var n = drill.data.choices.map(function (c, i) { return !c.work && c.parts.indexOf(part) >= 0 && drill.done.indexOf(i) < 0 ? i : -1; }).filter(function (i) { return i >= 0; })[0];
    var tile = n === undefined ? null : drill.section.querySelector('[data-choice="' + n + '"]');
    if (tile) { tile.click(); }
  }
  function start(section) {
    var button = section.querySelector(".in-3d"), place = section.querySelector(".practice-3d"), text = button.textContent;
    var drill = { section: section, data: JSON.parse(section.querySelector(".practice-data").textContent), done: [] }, view = null;
    section.addEventListener("practised", function (e) {
      drill.done = e.detail.choices;
      if (view) { view.setParts(shown(drill, drill.done, view.model)); }
    });
    button.hidden = false;
    button.addEventListener("click", function () {
      if (open) { open.close(); }
      var asked = window.benchleafLoad.viewer(place, function (model) {
        return {
          parts: shown(drill, drill.done, model),
          onTap: function (part) { if (part) { choice(drill, part); } },
          onClose: function (which) { if (which === open) { open = null; } view = null; button.hidden = false; button.focus(); }
        };
      });
      if (!asked) { place.textContent = own.getAttribute("data-cannot"); button.remove(); return; }
      button.disabled = true;
      button.textContent = own.getAttribute("data-loading");
      asked.then(function (made) {
        open = view = made;
        view.setParts(shown(drill, drill.done, view.model));
        button.disabled = false; button.textContent = text; button.hidden = true;
      }).catch(function () { place.textContent = own.getAttribute("data-cannot"); button.remove(); });
    });
  }
  Array.prototype.forEach.call(doc.querySelectorAll(".drill"), start);
}());
