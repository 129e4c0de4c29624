/* Jobs on one pump, kept in this browser: each mark under a key of its own, so that two open pages do not overwrite each other.
   A job has a head (when begun, when changed, which booklet) and marks by key: "job/date", "reading/...", "tick/...", "sign/...". */
(function () {
  "use strict";
  var bar = document.querySelector(".job-bar");
  if (!bar) { return; }
  var texts = JSON.parse(bar.querySelector(".record-texts").textContent);
  var room = "benchleaf-job:" + bar.getAttribute("data-library") + " " + bar.getAttribute("data-tag") + ":";
  var memory = {}, lasting = true;
  try { localStorage.setItem(room + "?", "1"); localStorage.removeItem(room + "?"); } catch (e) { lasting = e && e.name === "QuotaExceededError"; }

  function text(key, fields) {
    var of = texts[key] === undefined && fields ? texts[key + (fields.count === 1 ? ".one" : ".other")] : texts[key];
    return of.replace(/\{(\w+)\}/g, function (all, name) { return fields && fields[name] !== undefined ? fields[name] : all; });
  }
  function trouble(said) {
    var at = bar.querySelector(".job-trouble");
    bar.hidden = false; at.hidden = false; at.textContent = said;
  }
  function read(key) {
    if (!lasting) { return memory[key] === undefined ? null : memory[key]; }
    try { return localStorage.getItem(key); } catch (e) { return null; }
  }
  function write(key, value) {
    if (!lasting) { memory[key] = value; return true; }
    try { localStorage.setItem(key, value); return true; } catch (e) { trouble(text("full")); return false; }
  }
  function drop(key) { delete memory[key]; if (lasting) { try { localStorage.removeItem(key); } catch (e) { /* it is gone or stays */ } } }
  function keys() {
    var found = Object.keys(memory);
    if (lasting) { try { for (var i = 0; i < localStorage.length; i++) { found.push(localStorage.key(i)); } } catch (e) { /* none */ } }
    return found.filter(function (k) { return k.indexOf(room) === 0; });
  }
  function parsed(value) { try { return value === null ? null : JSON.parse(value); } catch (e) { return null; } }

  function stamp() { return new Date().toISOString(); }
  function two(n) { return (n < 10 ? "0" : "") + n; }
  /* A stamp as people read it: their own time of day. */
  function shown(at) {
    var d = new Date(at);
    return isNaN(d) ? at : d.getFullYear() + "-" + two(d.getMonth() + 1) + "-" + two(d.getDate()) + " " + two(d.getHours()) + ":" + two(d.getMinutes());
  }
  function fresh() {
    var d = new Date(), random = new Uint32Array(1);
    window.crypto.getRandomValues(random);
    return "" + d.getFullYear() + two(d.getMonth() + 1) + two(d.getDate()) + "-" + two(d.getHours()) + two(d.getMinutes()) + two(d.getSeconds()) + "-" + random[0].toString(36);
  }
  function booklet() {
    var of = {};
    ["library", "plant", "tag", "size", "revision", "date"].forEach(function (n) {
      var said = (bar.getAttribute("data-" + n) || "").trim();
      if (said && (n !== "date" || /^\d{4}-\d\d-\d\d$/.test(said))) { of[n] = said; }
    });
    return of;
  }

  function head(id) { return parsed(read(room + id + "#")); }
  function open() { var id = read(room + "open"); return id !== null && head(id) ? id : null; }
  function setOpen(id) { if (id === null) { drop(room + "open"); } else { write(room + "open", id); } }
  function begin() {
    var id = fresh(), at = stamp();
    write(room + id + "#", JSON.stringify({ begun: at, changed: at, booklet: booklet() }));
    setOpen(id);
    return id;
  }
  /* All jobs, the one begun last first. */
  function jobs() {
    return keys().filter(function (k) { return /#$/.test(k) && k.indexOf("/") < 0; })
      .map(function (k) { return k.slice(room.length, -1); })
      .filter(head).sort(function (a, b) { return head(a).begun < head(b).begun ? 1 : head(a).begun > head(b).begun ? -1 : a < b ? 1 : -1; });
  }
  function marks(id) {
    var found = {}, start = room + id + ":";
    keys().forEach(function (k) {
      var of = k.indexOf(start) === 0 ? parsed(read(k)) : null;
      if (of) { found[k.slice(start.length)] = of; }
    });
    return found;
  }
  /* Put a mark into the open job, which begins with it where none is open; null takes it away. */
  function mark(key, of) {
    var id = open() || begin();
    if (of === null) { drop(room + id + ":" + key); } else { write(room + id + ":" + key, JSON.stringify(of)); }
    changed(id);
  }
  function changed(id) { var of = head(id); if (of) { of.changed = stamp(); write(room + id + "#", JSON.stringify(of)); } }
  function exported(id) { var of = head(id); if (of) { of.exported = stamp(); write(room + id + "#", JSON.stringify(of)); } }
  function put(id, of, all) {
    write(room + id + "#", JSON.stringify(of));
    Object.keys(all).forEach(function (key) { write(room + id + ":" + key, JSON.stringify(all[key])); });
  }
  function remove(id) {
    var start = room + id;
    keys().forEach(function (k) { if (k === start + "#" || k.indexOf(start + ":") === 0) { drop(k); } });
    if (read(room + "open") === id) { setOpen(jobs()[0] || null); }
  }
  function named(id) {
    var of = head(id), order = parsed(read(room + id + ":job/work_order"));
    return text("job", { order: order ? order.v : text("unnamed"), begun: shown(of.begun) });
  }

  /* What the person types, as a record may hold it. */
  function clean(typed) {
    var whole = typed.toWellFormed ? typed.toWellFormed() : typed;
    return whole.replace(/\r\n?/g, "\n").replace(/[\u0000-\u0008\u000b-\u001f\u007f-\u0084\u0086-\u009f\ufffe\uffff]/g, "");
  }

  window.benchleafRecord = {
    bar: bar, room: room, lasting: lasting, text: text, trouble: trouble, stamp: stamp, shown: shown, clean: clean, booklet: booklet,
    head: head, open: open, setOpen: setOpen, begin: begin, jobs: jobs, marks: marks, mark: mark, exported: exported, changed: changed, put: put, remove: remove, named: named
  };
  if (!lasting) { trouble(text("nothing_kept")); }
}());
