/* The switch of languages: the same page at the same place, and the choice kept for the links of the library. Without script
   the switch is a row of links to the top of the same page. */
(function () {
  "use strict";
  var doc = document, row = doc.querySelector(".languages"), name = "benchleaf:language";
  if (!row) { return; }
  function keep(code) { try { localStorage.setItem(name, code); } catch (e) { /* not kept */ } }
  function kept() { try { return localStorage.getItem(name); } catch (e) { return null; } }
  var links = Array.prototype.slice.call(doc.querySelectorAll(".languages a")), here = doc.documentElement.lang;

  /* The place: what the address names, else the last thing with a name above the upper third of the window. */
  function place() {
    if (doc.body.classList.contains("class-view") && location.hash) { return location.hash; }
    var line = window.innerHeight * 0.35, found = "";
    if (window.scrollY < 40) { return location.hash; }
    Array.prototype.forEach.call(doc.querySelectorAll("main [id]"), function (e) {
      if (e.closest("svg, dialog")) { return; }
      var box = e.getBoundingClientRect();
      if (box.height > 0 && box.top <= line) { found = (e.closest(".step[id]") || e).id; }
    });
    return found ? "#" + found : location.hash;
  }
  links.forEach(function (link) {
    link.addEventListener("click", function () {
      keep(link.hreflang);
      link.href = link.getAttribute("href").split("#")[0] + place();
    });
  });

  /* The list of booklets leads to those of the language that was chosen last. */
  var wanted = kept(), other = links.filter(function (l) { return l.hreflang === wanted && wanted !== here; })[0];
  if (!other || !doc.body.classList.contains("library")) { return; }
  var mine = doc.documentElement.getAttribute("data-suffix") || "", its = row.getAttribute("data-" + wanted) || "";
  Array.prototype.forEach.call(doc.querySelectorAll("main a[href]"), function (a) {
    var found = /^((?:[\w.-]+\/)+[\w-]+?)(\.[\w-]+)?\.html(#.*)?$/.exec(a.getAttribute("href"));
    if (found && (found[2] || "") === mine) { a.setAttribute("href", found[1] + its + ".html" + (found[3] || "")); }
  });
}());
