/* Library page: search and filters, spares of the pumps chosen. Without script the whole table stands. */
(function () {
  "use strict";
  var doc = document, form = doc.querySelector(".find"), field = form.querySelector("input[type=search]"), out = form.querySelector("output");
  var rows = Array.prototype.slice.call(doc.querySelectorAll("tr[data-find]")), data = window.benchleafPumps;
  var filters = Array.prototype.slice.call(form.querySelectorAll("select")), onlies = Array.prototype.slice.call(form.querySelectorAll("[data-only]"));
  var bar = doc.querySelector(".chosen"), spares = doc.querySelector("section.spares"), table = spares.querySelector("table"), summed = [];

  function filled(text, fields) { return text.replace(/\{(\w+)\}/g, function (_, k) { return String(fields[k]); }); }
  function counted(node, n) { return n === 0 ? node.getAttribute("data-none") : n === 1 ? node.getAttribute("data-one") : filled(node.getAttribute("data-other"), { count: n }); }
  function plain(text) { return text.toLowerCase().normalize("NFD").replace(/[\u0300-\u036f]/g, "").replace(/\u00d7/g, "x").replace(/(\d),(?=\d)/g, "$1."); }

  /* What is searched: the row, and sizes and numbers of the pump's parts. Made when first asked for; pumps share groups. */
  var texts = null, ofGroup = {};
  function groupText(key) {
    if (!(key in ofGroup)) { ofGroup[key] = plain(data.groups[key].map(function (n) { return data.rows[n][1] + " " + data.rows[n][2]; }).join(" ")); }
    return ofGroup[key];
  }
  function index() {
    texts = rows.map(function (row, n) {
      var pump = data.pumps[n], kit = data.kits[pump.kit].map(function (k) { return k[2] + " " + k[3] + " " + k[4]; }).join(" ");
      return " " + plain(row.getAttribute("data-find") + " " + kit) + " " + groupText(pump.rows[1]);
    });
  }
  /* A figure is looked for from its first digit: 35 is not in 135. */
  function holds(text, word) {
    if (!/^\d/.test(word)) { return text.indexOf(word) >= 0; }
    for (var at = text.indexOf(word); at >= 0; at = text.indexOf(word, at + 1)) { if (!/[\d.]/.test(text.charAt(at - 1))) { return true; } }
    return false;
  }
  function show() {
    var words = plain(field.value).split(/\s+/).filter(Boolean), n = 0;
    if (words.length && !texts) { index(); }
    rows.forEach(function (row, at) {
      var chosen = row.getAttribute("data-chosen").split(" ");
      row.hidden = !(filters.every(function (f) { return f.value === "" || chosen[f.getAttribute("data-filter")] === f.value; }) &&
        onlies.every(function (o) { return !o.checked || row.hasAttribute("data-" + o.getAttribute("data-only")); }) &&
        words.every(function (word) { return holds(texts[at], word); }));
      if (!row.hidden) { n += 1; }
    });
    out.textContent = counted(out, n);
    var set = form.querySelector(".set"), narrowed = filters.filter(function (f) { return f.value !== ""; }).length + onlies.filter(function (o) { return o.checked; }).length;
    if (set) { set.textContent = narrowed ? counted(set, narrowed) : ""; }
  }
  form.hidden = false;
  form.addEventListener("submit", function (e) { e.preventDefault(); });
  field.addEventListener("input", show);
  filters.concat(onlies).forEach(function (f) { f.addEventListener("change", show); });
  form.querySelector("[data-do=reset]").addEventListener("click", function () { form.reset(); show(); field.focus(); });

  /* Pumps chosen */
  var boxes = rows.map(function (row) { return row.querySelector(".pick input"); });
  function chosen() { return data.pumps.filter(function (_, n) { return boxes[n].checked; }); }
  function tell() {
    var pumps = chosen(), both = bar.querySelector("[data-do=compare]"), count = bar.querySelector(".count");
    count.textContent = counted(count, pumps.length);
    bar.querySelector("[data-do=spares]").disabled = bar.querySelector("[data-do=none]").disabled = !pumps.length;
    both.hidden = pumps.length !== 2;
    if (pumps.length === 2) { both.href = both.getAttribute("href").split("#")[0] + "#" + pumps.map(function (p) { return encodeURIComponent(p.tag); }).join("&"); }
    if (!spares.hidden) { if (pumps.length) { fill(); } else { spares.hidden = true; } }
  }
  function sum(pumps) {
    var found = {}, order = [];
    pumps.forEach(function (pump) {
      data.kits[pump.kit].forEach(function (k) {
        var line = found[k[0]];
        if (!line) { line = found[k[0]] = { parts: [], size: k[2], number: k[3], material: k[4], always: k[5], quantity: 0, of: [] }; order.push(line); }
        if (line.parts.indexOf(k[1]) < 0) { line.parts.push(k[1]); }
        line.quantity += k[6];
        line.of.push(filled(table.getAttribute("data-of"), { tag: pump.tag, count: k[6] }));
      });
    });
    return order.filter(function (l) { return l.always; }).concat(order.filter(function (l) { return !l.always; })).map(function (l) {
      var part = l.parts.reduce(function (a, b) { return filled(table.getAttribute("data-joined"), { first: a, next: b }); });
      return [part, l.size, l.number, l.material, table.getAttribute(l.always ? "data-always" : "data-ready"), String(l.quantity), l.of.join("; ")];
    });
  }
  function fill() {
    var pumps = chosen(), body = table.querySelector("tbody"), heads = table.querySelectorAll("thead th");
    summed = sum(pumps);
    spares.querySelector(".of").textContent = pumps.map(function (p) { return p.tag; }).join(", ");
    body.textContent = "";
    summed.forEach(function (line) {
      var row = body.insertRow();
      line.forEach(function (text, n) { var cell = row.insertCell(); cell.textContent = text; cell.setAttribute("data-label", heads[n].textContent); });
    });
  }
  /* As the program's own table: quoted where need be, and nothing that a spreadsheet would take for a formula. */
  function cell(text) {
    var safe = /^[=+\-@\t\r]/.test(text) ? "'" + text : text;
    return /[",\r\n]/.test(safe) ? '"' + safe.replace(/"/g, '""') + '"' : safe;
  }
  function save() {
    var button = spares.querySelector("[data-do=csv]"), heads = Array.prototype.map.call(table.querySelectorAll("thead th"), function (h) { return h.getAttribute("data-csv"); }), lines = [heads].concat(summed);
    var text = "\ufeff" + lines.map(function (l) { return l.map(cell).join(",") + "\r\n"; }).join(""), link = doc.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "text/csv" }));
    link.download = button.getAttribute("data-file");
    link.click();
    URL.revokeObjectURL(link.href);
  }
  function onAll(checked) { boxes.forEach(function (box, n) { if (!checked || !rows[n].hidden) { box.checked = checked; } }); tell(); }
  if (data && data.pumps.length === rows.length && rows.length) {
    Array.prototype.forEach.call(doc.querySelectorAll(".pick"), function (c) { c.hidden = false; });
    bar.hidden = false;
    boxes.forEach(function (box) { box.addEventListener("change", tell); });
    bar.querySelector("[data-do=all]").addEventListener("click", function () { onAll(true); });
    bar.querySelector("[data-do=none]").addEventListener("click", function () { onAll(false); });
    bar.querySelector("[data-do=spares]").addEventListener("click", function () { spares.hidden = false; fill(); spares.focus(); spares.scrollIntoView(); });
    spares.querySelector("[data-do=csv]").addEventListener("click", save);
    tell();
  }
  show();
  /* The index is made while nothing else is to be done, so that the first letter typed is answered at once. */
  if (data && window.requestIdleCallback) { window.requestIdleCallback(function () { if (!texts) { index(); } }); }
}());
