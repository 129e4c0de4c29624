/* Two pumps side by side: what differs, by the program's own keys; all else on request. */
(function () {
  "use strict";
  var doc = document, form = doc.querySelector(".pair"), data = window.benchleafPumps;
  var picks = form.querySelectorAll("select"), all = form.querySelector("input"), out = form.querySelector("output");

  function make(tag, text) { var e = doc.createElement(tag); e.textContent = text; return e; }
  function pump(tag) { return data.pumps.filter(function (p) { return p.tag === tag; })[0]; }
  function rows(group) { return data.groups[group].map(function (n) { return data.rows[n]; }); }
  function told(pump, row, absent, label) {
    var cell = doc.createElement("td"), text = row ? row[2] : absent;
    cell.setAttribute("data-label", label);
    if (row && row[4]) { var link = make("a", text); link.href = pump.slug + "/" + row[4]; cell.appendChild(link); } else { cell.textContent = text; }
    return cell;
  }
  function fill(section, a, b) {
    var n = Number(section.getAttribute("data-group")), table = section.querySelector("table"), body = table.querySelector("tbody"), differing = 0;
    var left = rows(a.rows[n]), right = rows(b.rows[n]), of = {}, heads = table.querySelectorAll("thead th");
    heads[1].textContent = a.tag;
    heads[2].textContent = b.tag;
    left.forEach(function (r) { of[r[0]] = [r, null]; });
    right.forEach(function (r) { if (of[r[0]]) { of[r[0]][1] = r; } else { of[r[0]] = [null, r]; } });
    body.textContent = "";
    Object.keys(of).forEach(function (id) {
      var r = of[id], same = r[0] && r[1] && r[0][3] === r[1][3], row, name;
      if (!same) { differing += 1; }
      if (same && !all.checked) { return; }
      row = body.insertRow();
      row.className = same ? "same" : "differs";
      name = make("th", (r[0] || r[1])[1]);
      name.scope = "row";
      row.appendChild(name);
      row.appendChild(told(a, r[0], table.getAttribute("data-absent"), a.tag));
      row.appendChild(told(b, r[1], table.getAttribute("data-absent"), b.tag));
      if (!same && r[0] && r[1] && r[0][2] === r[1][2]) { name.appendChild(doc.createElement("br")); var note = make("span", table.getAttribute("data-differs")); note.className = "quiet"; name.appendChild(note); }
    });
    section.hidden = !body.rows.length;
    return differing;
  }
  function show(keep) {
    var a = pump(picks[0].value), b = pump(picks[1].value), n = 0;
    Array.prototype.forEach.call(doc.querySelectorAll(".compared"), function (s) { n += fill(s, a, b); });
    out.textContent = n === 0 ? out.getAttribute("data-none") : n === 1 ? out.getAttribute("data-one") : out.getAttribute("data-other").replace("{count}", n);
    if (keep) { history.replaceState(null, "", "#" + [a.tag, b.tag].map(encodeURIComponent).join("&")); }
  }
  function choose() {
    var tags = [];
    try { tags = location.hash.slice(1).split("&").map(decodeURIComponent); } catch (e) { /* no address of ours */ }
    if (tags.length === 2 && pump(tags[0]) && pump(tags[1])) { picks[0].value = tags[0]; picks[1].value = tags[1]; }
    show(false);
  }
  if (!data || !data.pumps.length) { return; }
  form.hidden = false;
  picks[1].selectedIndex = Math.min(1, data.pumps.length - 1);
  form.addEventListener("submit", function (e) { e.preventDefault(); });
  Array.prototype.forEach.call(picks, function (p) { p.addEventListener("change", function () { show(true); }); });
  all.addEventListener("change", function () { show(true); });
  window.addEventListener("hashchange", choose);
  choose();
}());
