/* Library page: keep the rows that hold every word typed. Without script the whole table stands. */
(function () {
  "use strict";
  var form = document.querySelector(".find"), field = form.querySelector("input"), out = form.querySelector("output");
  var rows = Array.prototype.slice.call(document.querySelectorAll("tr[data-find]"));
  function plain(text) { return text.toLowerCase().normalize("NFD").replace(/[\u0300-\u036f]/g, ""); }
  function show() {
    var words = plain(field.value).split(/\s+/).filter(Boolean), n = 0;
    rows.forEach(function (row) {
      var text = plain(row.getAttribute("data-find"));
      row.hidden = !words.every(function (word) { return text.indexOf(word) >= 0; });
      if (!row.hidden) { n += 1; }
    });
    out.textContent = n === 0 ? out.getAttribute("data-none") : out.getAttribute(n === 1 ? "data-one" : "data-other").replace("{count}", n);
  }
  form.hidden = false;
  form.addEventListener("submit", function (e) { e.preventDefault(); });
  field.addEventListener("input", show);
  show();
}());
