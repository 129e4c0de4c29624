/* A job out of the browser and back: JSON with all of it, CSV for a spreadsheet; an import is whole or none, with every fault told. */
(function () {
  "use strict";
  var record = window.benchleafRecord, part = document.querySelector(".files");
  if (!record || !part) { return; }
  var FORM = 1, MOST_BYTES = 60e6, MOST_TOLD = 20;
  var said = part.querySelector(".import-said");

  function values(marks, stem) { return Object.keys(marks).filter(function (k) { return k.indexOf(stem) === 0; }).map(function (k) { return marks[k]; }); }
  /* Where each mark stands on the sheet, so that a record reads as the sheet does. */
  function order(selector, name) {
    var at = {};
    Array.prototype.forEach.call(document.querySelectorAll(selector), function (node, n) { at[node.getAttribute(name)] = n; });
    return function (key) { return function (a, b) { var x = at[key(a)], y = at[key(b)]; return (x === undefined ? 1e6 : x) - (y === undefined ? 1e6 : y); }; };
  }
  function whole(id) {
    var head = record.head(id), marks = record.marks(id), job = {};
    ["work_order", "date", "done_by", "checked_by", "remarks"].forEach(function (k) { if (marks["job/" + k]) { job[k] = marks["job/" + k].v; } });
    return record.photos.all(id).then(function (photos) {
      return {
        benchleaf_record: FORM, id: id, begun: head.begun, changed: head.changed, booklet: head.booklet, job: job,
        readings: values(marks, "reading/").sort(order("tr[data-reading]", "data-reading")(function (r) { return r.sequence + "/" + r.id; })),
        ticks: values(marks, "tick/").sort(order(".mark[data-of]", "data-of")(function (t) { return t.sequence + "/" + t.id; })),
        sign_offs: values(marks, "sign/").sort(order("tr[data-sign]", "data-sign")(function (s) { return s.sequence + "/" + s.section; })),
        photos: photos
      };
    });
  }
  function save(text, type, id, ending) {
    var link = document.createElement("a"), marks = record.marks(id), order = marks["job/work_order"];
    var name = [record.bar.getAttribute("data-tag"), order ? order.v : "", id].filter(Boolean).join(" ").replace(/[^\w.-]+/g, "-").replace(/^[-.]+|[-.]+$/g, "");
    link.href = URL.createObjectURL(new Blob([text], { type: type }));
    link.download = "record-" + name + ending;
    document.body.appendChild(link); link.click(); link.remove();
    setTimeout(function () { URL.revokeObjectURL(link.href); }, 60000);
    record.exported(id);
  }

  var COLUMNS = ["benchleaf_record", "id", "begun", "changed", "library", "plant", "tag", "size", "revision", "booklet_date", "work_order", "date", "done_by", "checked_by", "remarks", "mark", "sequence", "step", "section", "mark_id", "text", "value", "state", "entered", "unit", "limits_unit", "low", "high", "read_with", "calibration", "certificate", "wrench_least", "wrench_most", "clicked", "verdict", "at"];
  /* A cell as text to any spreadsheet: an apostrophe stands before what it would reckon out. */
  function cell(of) {
    if (of === undefined || of === null) { return ""; }
    var plain = String(of);
    if (/^\s*[=+\-@\uff1d\uff0b\uff0d\uff20]/.test(plain) && !/^[+-]?\d+([.,]\d+)?$/.test(plain) || /^[\t\r\n']/.test(plain)) { plain = "'" + plain; }
    return /[",;\t\r\n]/.test(plain) ? '"' + plain.replace(/"/g, '""') + '"' : plain;
  }
  function table(of) {
    var head = { benchleaf_record: of.benchleaf_record, id: of.id, begun: of.begun, changed: of.changed, library: of.booklet.library, plant: of.booklet.plant, tag: of.booklet.tag, size: of.booklet.size, revision: of.booklet.revision, booklet_date: of.booklet.date };
    var lines = [COLUMNS.join(",")];
    function line(kind, mark) {
      lines.push(COLUMNS.map(function (name) { return cell(name === "mark" ? kind : name === "mark_id" ? mark.id : name in head ? head[name] : name in of.job && kind === "job" ? of.job[name] : mark[name]); }).join(","));
    }
    line("job", {});
    of.readings.forEach(function (r) { line("reading", r); });
    of.ticks.forEach(function (t) { line("tick", { id: t.id, sequence: t.sequence, step: t.step, text: t.title, at: t.at }); });
    of.sign_offs.forEach(function (s) { line("sign-off", { sequence: s.sequence, section: s.section, text: s.title, entered: s.by, at: s.at }); });
    return "\ufeff" + lines.join("\r\n") + "\r\n";
  }
  function action(name, act) { part.querySelector("[data-do=" + name + "]").addEventListener("click", function () { var id = record.open(); if (id) { whole(id).then(function (of) { act(of, id); }); } }); }
  action("json", function (of, id) { save(JSON.stringify(of, null, 2) + "\n", "application/json", id, ".json"); });
  action("csv", function (of, id) { save(table(of), "text/csv", id, ".csv"); });

  /* ------------------------------------------------------------------ import */
  function tell(name, faults) {
    var list = document.createElement("ol"), head = document.createElement("p");
    head.textContent = record.text("not_imported", { count: faults.length, file: name });
    faults.slice(0, MOST_TOLD).forEach(function (f) { var item = document.createElement("li"); item.textContent = f; list.appendChild(item); });
    said.textContent = ""; said.appendChild(head); said.appendChild(list);
    if (faults.length > MOST_TOLD) { var more = document.createElement("p"); more.textContent = record.text("more_faults", { count: faults.length - MOST_TOLD }); said.appendChild(more); }
  }
  function line(place, path, found, allowed, fix) { return record.text("fault", { line: place.line, column: place.column, path: path ? " (" + path + ")" : "", found: found, allowed: allowed, fix: fix }); }
  function twice(of) {
    var found = [];
    [["readings", function (r) { return r.sequence + "/" + r.id; }], ["ticks", function (t) { return t.sequence + "/" + t.id; }], ["sign_offs", function (s) { return s.sequence + "/" + s.section; }], ["photos", function (p) { return p.id; }]].forEach(function (list) {
      var seen = Object.create(null);
      (of[list[0]] || []).forEach(function (entry, n) {
        var key = list[1](entry);
        if (seen[key]) { found.push({ path: [list[0], n], found: record.text("mark_twice", { what: key }), allowed: record.text("mark_twice_allowed"), fix: record.text("key_twice_fix") }); }
        seen[key] = true;
      });
    });
    return found;
  }
  /* What the form cannot say: whose record it is, whether it is here already, times that are none. */
  function against(of) {
    var own = record.booklet(), found = twice(of), head = record.head(of.id);
    if (of.booklet.library !== own.library || of.booklet.tag !== own.tag) { found.push({ path: ["booklet"], found: record.text("other_pump", of.booklet), allowed: record.text("other_pump_allowed", own), fix: record.text("other_pump_fix") }); }
    if (head) { found.push({ path: ["id"], found: record.text("here_already", { at: record.shown(head.changed) }), allowed: record.text("here_already_allowed"), fix: record.text("here_already_fix") }); }
    (function times(node, path) {
      Object.keys(node).forEach(function (key) {
        var value = node[key], at = path.concat([Array.isArray(node) ? Number(key) : key]);
        if (value && typeof value === "object") { times(value, at); }
        else if (/^(at|begun|changed|date)$/.test(key) && typeof value === "string" && isNaN(new Date(value))) { found.push({ path: at, found: "'" + value + "'", allowed: record.text("type_time"), fix: record.text("again_fix") }); }
      });
    }(of, []));
    return found;
  }
  function take(name, text) {
    var file = record.read.read(text), form = window.benchleafRecordForm, faults = file.faults.slice(), found = [];
    if (file.data !== undefined) {
      found = record.read.check(file.data, form);
      if (!found.length && !faults.length) { found = against(file.data); }
    }
    var places = faults.map(function (f) { return { at: f.at, path: "", found: f.found, allowed: f.allowed, fix: f.fix }; })
      .concat(found.map(function (f) { return { at: file.where(f.path, f.key), path: record.read.words(f.path), found: f.found, allowed: f.allowed, fix: f.fix }; }));
    places.sort(function (a, b) { return a.at - b.at; });
    if (places.length) { tell(name, places.map(function (f) { return line(file.place(f.at), f.path, f.found, f.allowed, f.fix); })); return; }
    var of = file.data, marks = {};
    Object.keys(of.job).forEach(function (k) { if (of.job[k] !== null) { marks["job/" + k] = { v: of.job[k], at: of.changed }; } });
    (of.readings || []).forEach(function (r) { marks["reading/" + r.sequence + "/" + r.id] = bare(r); });
    (of.ticks || []).forEach(function (t) { marks["tick/" + t.sequence + "/" + t.id] = bare(t); });
    (of.sign_offs || []).forEach(function (s) { marks["sign/" + s.sequence + "/" + s.section] = bare(s); });
    (of.photos || []).forEach(function (p) { marks["photo/" + p.id] = bare({ id: p.id, caption: p.caption, at: p.at }); });
    record.put(of.id, { begun: of.begun, changed: of.changed, booklet: bare(of.booklet), exported: of.changed }, marks);
    record.setOpen(of.id);
    Promise.all((of.photos || []).map(function (p) { return record.photos.keep(of.id, p.id, p.data); })).then(function () {
      said.textContent = record.text("imported", { job: record.named(of.id) });
      record.fill();
    });
  }
  function bare(of) { var kept = {}; Object.keys(of).forEach(function (k) { if (of[k] !== null && of[k] !== undefined) { kept[k] = of[k]; } }); return kept; }

  part.querySelector(".import-file").addEventListener("change", function (e) {
    var file = e.target.files[0], field = e.target, start = { line: 1, column: 1 }, reader = new FileReader();
    if (!file) { return; }
    function refuse(found, allowed, fix) { tell(file.name, [line(start, "", found, allowed, fix)]); field.value = ""; }
    if (file.size > MOST_BYTES) { refuse(record.text("file_large", { size: Math.round(file.size / 1e6) }), record.text("file_large_allowed", { most: MOST_BYTES / 1e6 }), record.text("file_large_fix")); return; }
    reader.onload = function () {
      var text;
      try { text = new TextDecoder("utf-8", { fatal: true, ignoreBOM: true }).decode(reader.result); } catch (x) { refuse(record.text("not_text"), record.text("not_text_allowed"), record.text("again_fix")); return; }
      take(file.name, text);
      field.value = "";
    };
    reader.readAsArrayBuffer(file);
  });
}());
