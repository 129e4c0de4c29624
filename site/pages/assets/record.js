/* The open job on a page: ticks and readings go into it as they are made, and stand on paper as they stand on screen. */
(function () {
  "use strict";
  var record = window.benchleafRecord;
  if (!record) { return; }
  var doc = document, sheet = doc.querySelector("form.sheet"), judge = record.judge, rows = {};

  function list(selector, within) { return Array.prototype.slice.call((within || doc).querySelectorAll(selector)); }
  function make(name, of, said) { var node = doc.createElement(name); node.className = of; if (said) { node.textContent = said; } return node; }
  function after(node, of) {
    var next = node.nextElementSibling;
    if (!next || !next.classList.contains(of)) { next = make("span", of); node.parentNode.insertBefore(next, node.nextSibling); }
    return next;
  }
  function given(said) { said = record.clean(said); return said.trim() === "" ? undefined : said; }
  function attribute(node, name) { return given(node.getAttribute("data-" + name) || ""); }
  function numbered(node, name) { return Number(node.getAttribute("data-" + name)); }

  /* On paper an entry stands as text, whole, in place of its field. */
  function onPaper(field) {
    var box = field.type === "checkbox", copy = after(field, "on-paper"), said = box ? (field.checked ? "✓" : "") : field.tagName === "SELECT" ? field.options[field.selectedIndex].text : field.value;
    copy.textContent = said;
    field.classList.toggle("filled", said.trim() !== "");
  }

  /* ------------------------------------------------------------------ readings */
  function readingKey(row) { return "reading/" + row.getAttribute("data-reading"); }
  function unitOf(row) { var unit = row.querySelector(".unit"); return unit ? unit.textContent : row.getAttribute("data-limits-unit"); }
  function setUnit(row, unit) {
    var button = row.querySelector("button.unit"), too = row.querySelector(".unit.too");
    if (!button || button.textContent === unit) { return; }
    var other = button.textContent;
    button.textContent = unit;
    button.setAttribute("aria-label", record.text("change_unit", { unit: unit, other: other }));
    button.setAttribute("data-now", other);
    if (too) { too.textContent = unit; }
  }
  function typed(row, name) { var field = row.querySelector(name); return field ? given(field.value) : undefined; }
  /* A row as a record holds it; null where nothing stands in it. */
  function reading(row) {
    var eye = row.querySelector("input[type=radio]:checked"), choice = row.querySelector(".with select"), clicked = row.querySelector(".clicked");
    var of = {
      id: row.getAttribute("data-id"), sequence: row.getAttribute("data-sequence"), step: numbered(row, "step"), text: attribute(row, "text"), value: attribute(row, "value"),
      state: row.getAttribute("data-state"), entered: eye ? eye.value : typed(row, ".reading"), unit: unitOf(row), limits_unit: row.getAttribute("data-limits-unit"),
      read_with: choice && choice.selectedIndex > 0 ? choice.value : undefined, calibration: typed(row, ".calibration"), certificate: typed(row, ".certificate"),
      wrench_least: typed(row, ".least"), wrench_most: typed(row, ".most"), clicked: clicked && clicked.checked ? true : undefined
    };
    if (!["entered", "read_with", "calibration", "certificate", "wrench_least", "wrench_most", "clicked"].some(function (k) { return of[k] !== undefined; })) { return null; }
    ["low", "high"].forEach(function (k) { if (row.hasAttribute("data-" + k)) { of[k] = numbered(row, k); } });
    var state = judge.judged(row, of.unit);
    if (of.entered !== undefined && choice) { of.read_with = choice.value; }
    if (state) { of.verdict = state; }
    of.at = record.stamp();
    return of;
  }
  function say(row, of) {
    var state = judge.judged(row, unitOf(row)), cell = row.querySelector(".result") ? row.querySelector(".result").parentNode : row.querySelector(".eye"), out = row.querySelector(".result");
    if (!out) { out = make("output", "result eye-result"); cell.insertBefore(out, cell.querySelector(".by-hand")); }
    out.className = (out.classList.contains("eye-result") ? "result eye-result " : "result ") + state;
    out.textContent = state ? record.bar.getAttribute("data-" + state) : "";
    cell.classList.toggle("judged", state !== "");
    row.classList.toggle("untouched", !of);
    var note = cell.querySelector(".next-act") || cell.appendChild(make("p", "next-act")), when = cell.querySelector(".stamp") || cell.appendChild(make("p", "stamp")), was = of && of.verdict && of.verdict !== state ? record.bar.getAttribute("data-" + of.verdict) : "";
    note.textContent = judge.act(state);
    when.textContent = of ? record.shown(of.at) + (was ? " · " + record.text("judged_then", { verdict: was }) : "") : "";
    var field = row.querySelector(".reading"), own = row.getAttribute("data-limits-unit");
    if (field) {
      var unit = row.querySelector(".unit"), n = judge.number(field.value), line = unitOf(row) === own || isNaN(n) ? "" : record.text("as_typed", { figure: judge.inLimitsUnit(row, n, unitOf(row)).toLocaleString(doc.documentElement.lang, { maximumSignificantDigits: 6, useGrouping: false }), unit: own });
      after(unit, "converted").textContent = line;
      unit.classList.toggle("of-filled", field.value.trim() !== "");
    }
    list("input:not([type=radio]), select", row).forEach(onPaper);
    var choice = row.querySelector(".with");
    if (choice) { choice.classList.toggle("filled", Boolean(of && of.read_with)); }
  }
  function save(row) {
    var of = reading(row);
    record.mark(readingKey(row), of);
    say(row, of);
    progress();
  }
  function fillReading(row, of) {
    function put(name, said) { var field = row.querySelector(name); if (field) { field.value = said || ""; } }
    list("input[type=radio]", row).forEach(function (r) { r.checked = Boolean(of) && of.entered === r.value; });
    put(".reading", of && of.entered); put(".calibration", of && of.calibration); put(".certificate", of && of.certificate); put(".least", of && of.wrench_least); put(".most", of && of.wrench_most);
    var clicked = row.querySelector(".clicked"), choice = row.querySelector(".with select");
    if (clicked) { clicked.checked = Boolean(of && of.clicked); }
    if (choice) {
      choice.selectedIndex = 0;
      list("option", choice).forEach(function (o) { if (of && o.value === of.read_with) { o.selected = true; } });
    }
    setUnit(row, of ? of.unit : preferred(row));
    say(row, of);
  }
  /* The unit of a reading that is still empty: the reader's choice of system. */
  function system() { try { return localStorage.getItem("benchleaf-units"); } catch (e) { return record.units || null; } }
  function preferred(row) {
    var unit = row.querySelector("button.unit"), own = row.getAttribute("data-limits-unit");
    return !unit || !system() || (system() === "us") !== unit.hasAttribute("data-us") ? own : unit.getAttribute("data-other");
  }

  list("tr[data-reading]").forEach(function (row) {
    rows[readingKey(row)] = row;
    var unit = row.querySelector(".unit[data-other]");
    if (unit) {
      var button = make("button", "unit", unit.textContent);
      button.type = "button";
      ["other", "factor", "shift", "us"].forEach(function (n) { if (unit.hasAttribute("data-" + n)) { button.setAttribute("data-" + n, unit.getAttribute("data-" + n)); } });
      button.setAttribute("data-now", unit.getAttribute("data-other"));
      button.setAttribute("aria-label", record.text("change_unit", { unit: unit.textContent, other: unit.getAttribute("data-other") }));
      unit.parentNode.replaceChild(button, unit);
      button.addEventListener("click", function () { setUnit(row, button.getAttribute("data-now")); if (record.marks(record.open() || "")[readingKey(row)]) { save(row); } else { say(row, null); } });
    }
    list("input, select", row).forEach(function (field) {
      field.addEventListener(/^(checkbox|radio|select-one)$/.test(field.type) ? "change" : "input", function () {
        if (field.classList.contains("calibration")) { known(row, field); }
        save(row);
      });
    });
  });
  /* The certificate of an instrument that was written down before in this job need not be typed again. */
  function known(row, field) {
    var certificate = row.querySelector(".certificate"), all = record.open() ? record.marks(record.open()) : {}, no = field.value.trim();
    if (certificate.value.trim() !== "" || no === "") { return; }
    Object.keys(all).forEach(function (key) { if (all[key].calibration === no && all[key].certificate) { certificate.value = all[key].certificate; } });
  }

  /* ------------------------------------------------------------------ ticks, head, sign-off */
  function key(node) { return "tick/" + node.getAttribute("data-tick"); }
  list("input[data-tick]").forEach(function (box) {
    box.addEventListener("change", function () {
      record.mark(key(box), box.checked ? { sequence: box.getAttribute("data-sequence"), id: box.getAttribute("data-id"), step: numbered(box, "step"), title: attribute(box, "title"), at: record.stamp() } : null);
      fill();
    });
  });
  list("[data-job]").forEach(function (field) {
    field.addEventListener("input", function () {
      var said = given(field.value);
      record.mark("job/" + field.getAttribute("data-job"), said === undefined ? null : { v: said, at: record.stamp() });
      onPaper(field); progress(); listJobs();
    });
  });
  function section(row) { return row.getAttribute("data-sequence") + "/" + row.getAttribute("data-section"); }
  list("tr[data-sign]").forEach(function (row) {
    row.querySelector(".signer").addEventListener("input", function () {
      var by = given(row.querySelector(".signer").value);
      record.mark("sign/" + row.getAttribute("data-sign"), by === undefined ? null : { sequence: row.getAttribute("data-sequence"), section: row.getAttribute("data-section"), title: attribute(row, "title"), by: by, at: record.stamp() });
      progress();
    });
  });
  /* What is done of each section, who signed it, and whether anything changed after that. */
  function progress() {
    var all = record.open() ? record.marks(record.open()) : {};
    list("tr[data-sign]").forEach(function (row) {
      var signed = all["sign/" + row.getAttribute("data-sign")], steps = list(".mark", row), done = 0, latest = "";
      steps.forEach(function (mark) {
        var of = all["tick/" + mark.getAttribute("data-of")];
        mark.textContent = (of ? "✓ " : "☐ ") + mark.getAttribute("data-number");
        mark.title = of ? record.shown(of.at) : "";
        if (of) { done++; latest = of.at > latest ? of.at : latest; mark.textContent += " (" + record.shown(of.at) + ")"; }
      });
      Object.keys(rows).forEach(function (k) { if (all[k] && section(rows[k]) === row.getAttribute("data-sign") && all[k].at > latest) { latest = all[k].at; } });
      row.querySelector(".tally").textContent = done === steps.length ? record.text("all_done", { count: done }) : record.text("some_done", { done: done, count: steps.length });
      onPaper(row.querySelector(".signer"));
      var note = row.lastElementChild.querySelector(".stamp") || row.lastElementChild.appendChild(make("p", "stamp"));
      note.textContent = signed ? record.shown(signed.at) + (latest > signed.at ? " · " + record.text("changed_since") : done < steps.length ? " · " + record.text("still_open") : "") : "";
    });
  }

  /* ------------------------------------------------------------------ the job itself */
  function listJobs() {
    var id = record.open(), name = doc.querySelector(".job-name"), at = doc.querySelector(".job-list");
    record.bar.hidden = false;
    if (name) { name.setAttribute("data-none", name.getAttribute("data-none") || name.textContent); name.textContent = id ? record.text("open_job", { job: record.named(id) }) : name.getAttribute("data-none"); }
    if (!at) { return; }
    at.textContent = "";
    record.jobs().forEach(function (job) {
      var item = doc.createElement("li"), button = make("button", "job-choice", record.named(job) + " · " + record.text("marks", { count: Object.keys(record.marks(job)).length }) + (job === id ? " · " + record.text("is_open") : ""));
      button.type = "button";
      button.setAttribute("aria-pressed", job === id ? "true" : "false");
      button.addEventListener("click", function () { record.setOpen(job); fill(); });
      item.appendChild(button); at.appendChild(item);
    });
  }
  /* Marks that have no place on this sheet: of another revision of the booklet. */
  function others(all) {
    var at = doc.querySelector(".other-marks");
    if (!at) { return; }
    at.textContent = "";
    Object.keys(all).forEach(function (k) {
      var of = all[k];
      if (/^(job|photo)\//.test(k) || rows[k] || (/^tick\//.test(k) && list('.mark[data-of="' + k.slice(5) + '"]').length) || (/^sign\//.test(k) && list('tr[data-sign="' + k.slice(5) + '"]').length)) { return; }
      var said = of.text ? of.text + ": " + (of.entered || "") + " " + of.unit + (of.verdict ? " · " + record.bar.getAttribute("data-" + of.verdict) : "") : of.by ? (of.title || of.section) + ": " + of.by : "✓ " + of.step + " " + (of.title || of.id);
      at.appendChild(make("li", "", said + " · " + record.shown(of.at)));
    });
    doc.querySelector(".others").hidden = !at.children.length;
  }
  function fill() {
    var id = record.open(), all = id ? record.marks(id) : {};
    list("input[data-tick]").forEach(function (box) {
      var of = all[key(box)], note = box.parentNode.querySelector(".stamp") || box.parentNode.appendChild(make("span", "stamp"));
      box.checked = Boolean(of);
      note.textContent = of ? "✓ " + record.shown(of.at) : "";
    });
    list("[data-job]").forEach(function (field) { var of = all["job/" + field.getAttribute("data-job")]; field.value = of ? of.v : ""; onPaper(field); });
    Object.keys(rows).forEach(function (k) { fillReading(rows[k], all[k]); });
    list("tr[data-sign]").forEach(function (row) { var of = all["sign/" + row.getAttribute("data-sign")]; row.querySelector(".signer").value = of ? of.by : ""; });
    progress(); others(all); listJobs();
    if (record.photos) { record.photos.show(id); }
  }
  function action(name, act) { list("[data-do=" + name + "]").forEach(function (b) { b.addEventListener("click", act); }); }
  list(".jobs, .files, .photos").forEach(function (part) { part.hidden = false; });
  action("new-job", function () { record.begin(); fill(); doc.querySelector("[data-job]").focus(); });
  action("delete-job", function () {
    var id = record.open();
    if (!id) { return; }
    var of = record.head(id), said = of.exported && of.exported >= of.changed ? record.text("is_exported", { at: record.shown(of.exported) }) : record.text("not_exported");
    if (!window.confirm(record.text("delete_ask", { job: record.named(id), exported: said }))) { return; }
    record.remove(id);
    if (record.photos) { record.photos.removeAll(id); }
    fill();
  });
  list("[name=units]").forEach(function (choice) {
    choice.checked = choice.value === system();
    choice.addEventListener("change", function () {
      record.units = choice.value;
      try { localStorage.setItem("benchleaf-units", choice.value); } catch (e) { /* for this page alone */ }
      fill();
    });
  });
  if (sheet) { sheet.addEventListener("submit", function (e) { e.preventDefault(); }); }
  window.addEventListener("storage", function (e) { if (e.key === null || e.key.indexOf(record.room) === 0) { refresh(); } });
  window.addEventListener("pageshow", function (e) { if (e.persisted) { fill(); } });
  /* Another page of this booklet changed the job: what is being typed here stays as it is. */
  function refresh() { var now = doc.activeElement; if (now && now.matches("input:not([type=checkbox]):not([type=radio]), textarea")) { progress(); listJobs(); } else { fill(); } }
  record.fill = fill;
  fill();
}());
