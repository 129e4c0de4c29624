/* The frame of a course: shows the booklet's pages, counts what was read and the best test, and tells the learning system by the
   run-time calls of SCORM 1.2, nothing else. Without a learning system it says so and goes on. */
(function () {
  "use strict";
  var course = window.benchleafCourse, bar = document.querySelector(".course-bar"), frame = document.querySelector("iframe");
  var filled = function (text, fields) { return text.replace(/\{(\w+)\}/g, function (_, k) { return String(fields[k]); }); };
  var read = {}, best = -1, sittings = 0, page = course.first, seed = "", ended = false, begun = Date.now(), waiting = 0;
  course.sequences.forEach(function (s) { read[s.id] = []; });

  /* ---- the run-time interface, up the frames and then from whoever opened this window */
  function upwards(w) {
    for (var n = 0; w && n < 50; n++) {
      try { if (w.API) { return w.API; } } catch (e) { return null; }
      if (w.parent === w) { return null; }
      w = w.parent;
    }
    return null;
  }
  var api = upwards(window), live = false, normal = true;
  if (!api) { try { api = window.opener ? upwards(window.opener) : null; } catch (e) { api = null; } }
  function call(name, a, b) {
    try { return String(arguments.length > 2 ? api[name](a, b) : api[name](a)); } catch (e) { return ""; }
  }
  function get(name) { return live ? call("LMSGetValue", name) : ""; }
  function set(name, value) { return live && call("LMSSetValue", name, String(value)) === "true"; }

  /* ---- what is remembered from sitting to sitting: 4,096 characters at most */
  function packed() {
    return ["1", String(best), String(sittings), course.sequences.map(function (s) {
      var hex = "", n, k, four;
      for (n = 0; n < s.steps; n += 4) {
        for (four = 0, k = 0; k < 4; k++) { if (read[s.id][n + k]) { four |= 1 << k; } }
        hex += four.toString(16);
      }
      return s.id + ":" + s.mark + ":" + hex.replace(/0+$/, "");
    }).join(",")].join("|");
  }
  function unpack(text) {
    var parts = text.split("|");
    if (parts[0] !== "1" || parts.length !== 4) { return; }
    best = /^\d+$/.test(parts[1]) ? Math.min(100, Number(parts[1])) : -1;
    sittings = /^\d+$/.test(parts[2]) ? Number(parts[2]) : 0;
    parts[3].split(",").forEach(function (entry) {
      var of = entry.split(":"), s = course.sequences.filter(function (x) { return x.id === of[0] && x.mark === of[1]; })[0];
      if (!s || !/^[0-9a-f]*$/.test(of[2] || "")) { return; }
      for (var n = 0; n < s.steps; n++) { if (parseInt((of[2] || "").charAt(n >> 2) || "0", 16) & (1 << (n & 3))) { read[s.id][n] = true; } }
    });
  }

  function count() { return course.sequences.reduce(function (sum, s) { return sum + read[s.id].filter(Boolean).length; }, 0); }
  function all() { return course.sequences.reduce(function (sum, s) { return sum + s.steps; }, 0); }
  function status() {
    if (count() < all()) { return "incomplete"; }
    if (!course.test) { return "completed"; }
    return best < 0 ? "incomplete" : best >= course.test.pass ? "passed" : "failed";
  }
  function time() {
    var s = Math.round((Date.now() - begun) / 1000), two = function (n) { return (n < 10 ? "0" : "") + n; };
    return two(Math.floor(s / 3600)).padStart(4, "0") + ":" + two(Math.floor(s / 60) % 60) + ":" + two(s % 60);
  }
  var reached = "";
  function done(which) { return which === "passed" || which === "completed"; }
  function tell() {
    waiting = 0;
    if (!live || ended || !normal) { return; }
    if (best >= 0) { set("cmi.core.score.min", 0); set("cmi.core.score.max", 100); set("cmi.core.score.raw", best); }
    set("cmi.core.lesson_location", page);
    set("cmi.suspend_data", packed());
    if (!done(reached)) { reached = status(); }
    set("cmi.core.lesson_status", reached);
    call("LMSCommit", "");
  }
  function soon() { if (!waiting) { waiting = window.setTimeout(tell, 2000); } }
  function end() {
    if (!live || ended) { return; }
    window.clearTimeout(waiting);
    if (normal) {
      set("cmi.core.session_time", time());
      set("cmi.core.exit", done(status()) ? "" : "suspend");
    }
    tell();
    ended = true;
    call("LMSFinish", "");
  }

  /* ---- what the learner sees of it */
  function show() {
    var words = bar.dataset;
    bar.querySelector(".read").textContent = filled(words.read, { read: count(), all: all() });
    if (course.test) {
      bar.querySelector(".tested").textContent = best < 0 ? filled(words.untested, { pass: course.test.pass }) :
        filled(best >= course.test.pass ? words.passed : words.failed, { percent: best, pass: course.test.pass });
    }
    bar.querySelector(".kept").textContent = !live ? words.alone : !normal ? words.looking : done(status()) ? words.done : "";
  }
  function open(file) { page = file; frame.src = file; }
  bar.querySelector("[data-do=unread]").addEventListener("click", function () {
    var found = null;
    course.sequences.forEach(function (s) {
      for (var n = 0; n < s.steps && !found; n++) { if (!read[s.id][n]) { found = s.id + ".html#step-" + (n + 1); } }
    });
    open(found || course.first);
  });
  bar.querySelector("[data-do=front]").addEventListener("click", function () { open(course.first); });
  var testing = bar.querySelector("[data-do=test]");
  if (testing) {
    testing.addEventListener("click", function () {
      var letters = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789", n;
      for (seed = "", n = 0; n < 8; n++) { seed += letters.charAt(Math.floor(Math.random() * letters.length)); }
      open("test.html#seed=" + seed + "&n=" + course.test.length + "&pass=" + course.test.pass + "&topics=all&show=test");
    });
  }

  /* ---- what its pages say; from disk they are strangers to this one, so it is by messages alone */
  window.addEventListener("message", function (e) {
    var said = e.data;
    if (e.source !== frame.contentWindow || !said || said.benchleaf !== "course") { return; }
    if (said.at) { page = String(said.at).slice(0, 250); soon(); }
    if (said.step && read[said.sequence] && !read[said.sequence][said.step - 1]) {
      read[said.sequence][said.step - 1] = true;
      show();
      soon();
    }
    /* Each sitting counts once, and only as it was set. */
    if (said.test && course.test && seed && said.test.seed === seed && said.test.all === Math.min(course.test.length, course.test.pool) && said.test.topics) {
      seed = "";
      sittings += 1;
      best = Math.max(best, Math.floor(100 * said.test.right / said.test.all));
      show();
      tell();
    }
  });

  live = Boolean(api) && call("LMSInitialize", "") === "true";
  if (live) {
    normal = ["browse", "review"].indexOf(get("cmi.core.lesson_mode")) < 0 && get("cmi.core.credit") !== "no-credit";
    unpack(get("cmi.suspend_data"));
    reached = get("cmi.core.lesson_status");
    if (!done(reached)) { reached = ""; }
    var place = get("cmi.core.lesson_location");
    if (course.pages.indexOf(place.split("#")[0]) >= 0 && place.indexOf("seed=") < 0) { page = place; }
    tell();
  }
  bar.hidden = false;
  show();
  frame.src = page;
  window.addEventListener("pagehide", end);
  window.addEventListener("beforeunload", end);
  document.addEventListener("visibilitychange", function () { if (document.visibilityState === "hidden" && waiting) { window.clearTimeout(waiting); tell(); } });
}());
