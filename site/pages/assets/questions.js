/* Questions: rounds of ten with the reasons at once, and a test made from a seed, on the page and on paper. What is known is kept
   in this browser; nothing of a test is. */
(function () {
  "use strict";
  var ROUND = 10, REPEATED = 4, LETTERS = "ABCDEFGH";
  var data = window.benchleafQuestions, all = data.questions;

  var learn = window.benchleafLearn, make = learn.make, filled = learn.filled, cut = learn.cut;

  /* ---- chance: the same seed gives the same order everywhere */
  function chance(seed) {
    var h = 1779033703 ^ seed.length, i;
    for (i = 0; i < seed.length; i++) { h = Math.imul(h ^ seed.charCodeAt(i), 3432918353); h = (h << 13) | (h >>> 19); }
    h = Math.imul(h ^ (h >>> 16), 2246822507); h = Math.imul(h ^ (h >>> 13), 3266489909); h ^= h >>> 16;
    return function () {
      var t;
      h = (h + 0x6D2B79F5) | 0;
      t = Math.imul(h ^ (h >>> 15), 1 | h);
      t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
      return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
    };
  }
  function shuffled(list, next) {
    var out = list.slice(), i, j, kept;
    for (i = out.length - 1; i > 0; i--) { j = Math.floor(next() * (i + 1)); kept = out[i]; out[i] = out[j]; out[j] = kept; }
    return out;
  }
  /* Of each kind in turn, so that a round or a test is mixed. */
  function mixed(pool, count, next) {
    var kinds = {}, names = [], out = [], at = 0;
    shuffled(pool, next).forEach(function (q) {
      if (!kinds[q.kind]) { kinds[q.kind] = []; names.push(q.kind); }
      kinds[q.kind].push(q);
    });
    names = shuffled(names.sort(), next);
    while (out.length < count && names.length) {
      if (kinds[names[at % names.length]].length) { out.push(kinds[names[at % names.length]].shift()); at += 1; }
      else { names.splice(at % names.length, 1); }
    }
    return shuffled(out, next);
  }
  function answersOf(q, next) { return shuffled(q.answers.map(function (a, n) { return { text: a.text, pic: a.pic, why: a.why, right: n === 0 }; }), next); }
  function letterOf(answers) { return LETTERS[answers.map(function (a) { return a.right; }).indexOf(true)]; }

  /* A question with its answers as buttons; act hears which one is chosen. */
  function asked(host, q, answers, level, words, act) {
    var head = make(level, q.ask), list = make("ol", "", "answers" + (answers.some(function (a) { return a.pic; }) ? " pictured" : ""));
    head.tabIndex = -1;
    host.appendChild(head);
    if (q.pic) { var shown = make("p", "", "question-pic"); shown.appendChild(cut(q.pic, words.picture)); host.appendChild(shown); }
    answers.forEach(function (a, n) {
      var item = make("li"), button = make(act ? "button" : "span", "", "answer"), letter = make("b", LETTERS[n], "letter");
      if (act) { button.type = "button"; button.addEventListener("click", function () { act(n, button); }); }
      button.appendChild(letter);
      if (a.pic) { button.appendChild(cut(a.pic, filled(words.side, { letter: LETTERS[n] }))); }
      if (a.text) { button.appendChild(make("span", a.text, "text")); }
      item.appendChild(button);
      list.appendChild(item);
    });
    host.appendChild(list);
    return head;
  }
  function reason(host, text, q) {
    if (text) { host.appendChild(make("p", text)); }
    var p = make("p"), link = make("a", q.at);
    link.href = q.href;
    p.appendChild(link);
    host.appendChild(p);
  }
  function wordsOf(host) {
    var words = {};
    Array.prototype.forEach.call(host.attributes, function (a) { if (a.name.indexOf("data-") === 0) { words[a.name.slice(5)] = a.value; } });
    return words;
  }

  /* ---- rounds of ten */
  function rounds(host) {
    var words = wordsOf(host), place = host.querySelector(".at-question"), score = host.querySelector(".score");
    var name = "benchleaf:" + (document.body.getAttribute("data-booklet") || "") + ":questions", known = {}, queue, first, right, count, wrong;
    try { known = JSON.parse(localStorage.getItem(name)) || {}; } catch (e) { known = {}; }
    if (typeof known !== "object") { known = {}; }
    function keep() { try { localStorage.setItem(name, JSON.stringify(known)); } catch (e) { /* not kept */ } }
    function total() {
      var sure = all.filter(function (q) { return known[q.id] === 1; }).length;
      score.textContent = filled(words.known, { known: sure, all: all.length });
    }
    function begin() {
      var missed = shuffled(all.filter(function (q) { return known[q.id] === 0; }), Math.random).slice(0, REPEATED);
      var fresh = all.filter(function (q) { return known[q.id] === undefined; }), rest = all.filter(function (q) { return known[q.id] === 1; });
      queue = missed.concat(mixed(fresh, ROUND - missed.length, Math.random));
      if (queue.length < ROUND) { queue = queue.concat(mixed(rest, ROUND - queue.length, Math.random)); }
      queue = shuffled(queue, Math.random);
      first = queue.length; right = 0; count = 0; wrong = [];
      next();
    }
    function next() {
      place.textContent = "";
      total();
      if (!queue.length) { end(); return; }
      var q = queue.shift(), answers = answersOf(q, Math.random), again = count >= first, told = false;
      count += 1;
      place.appendChild(make("p", again ? words.again : filled(words.at, { number: count, all: first }), "quiet"));
      var head = asked(place, q, answers, "h2", words, function (n, button) {
        if (told) { return; }
        told = true;
        var good = answers[n].right, say = make("div", "", "said " + (good ? "is-good" : "is-not"));
        known[q.id] = good ? 1 : 0;
        keep();
        if (good && !again) { right += 1; }
        if (!good) { if (wrong.indexOf(q) < 0) { wrong.push(q); } queue.push(q); }
        Array.prototype.forEach.call(place.querySelectorAll(".answer"), function (b, at) {
          b.disabled = true;
          b.classList.toggle("is-right", answers[at].right);
          if (answers[at].right) { b.querySelector(".letter").textContent += " ✓"; }
        });
        button.classList.add("chosen");
        if (!good) { button.querySelector(".letter").textContent += " ✗"; }
        say.setAttribute("role", "status");
        place.appendChild(say);
        say.appendChild(make("p", (good ? "✓ " + words.right : "✗ " + filled(words.wrong, { letter: letterOf(answers) })), "verdict-line"));
        if (!good && answers[n].why) { say.appendChild(make("p", answers[n].why)); }
        reason(say, q.why, q);
        var on = make("button", queue.length ? words.next : words.finish, "onwards");
        on.type = "button";
        on.addEventListener("click", next);
        place.appendChild(on);
        on.focus({ preventScroll: true });
        say.scrollIntoView({ block: "nearest" });
        total();
      });
      if (count > 1) { head.focus({ preventScroll: true }); host.scrollIntoView({ block: "start" }); }
    }
    function end() {
      var head = make("h2", filled(words.end, { right: right, all: first })), list = make("ul"), on = make("button", words.another, "onwards");
      head.tabIndex = -1;
      place.appendChild(head);
      if (wrong.length) {
        place.appendChild(make("p", words.look));
        wrong.forEach(function (q) { var item = make("li"), link = make("a", q.at); link.href = q.href; item.appendChild(link); list.appendChild(item); });
        list.className = "to-look";
        place.appendChild(list);
      }
      on.type = "button";
      on.addEventListener("click", begin);
      place.appendChild(on);
      head.focus();
    }
    host.querySelector("[data-do=forget]").addEventListener("click", function () {
      if (!window.confirm(words.ask)) { return; }
      known = {};
      try { localStorage.removeItem(name); } catch (e) { /* not kept */ }
      begin();
    });
    host.hidden = false;
    begin();
  }

  /* ---- a test from a seed */
  function test(host) {
    var words = wordsOf(host), form = host.querySelector("form"), sheet = host.querySelector(".sheet-of-test"), setting;
    var boxes = Array.prototype.slice.call(form.querySelectorAll("[name=topic]"));
    function field(name) { return form.querySelector("[name=" + name + "]"); }
    function number(name, fallback) {
      var n = Math.round(Number(field(name).value)), e = field(name);
      return n >= Number(e.min) && n <= Number(e.max) ? n : fallback;
    }
    function chosen() { return boxes.filter(function (b) { return b.checked; }).map(function (b) { return Number(b.value); }); }
    function pool(topics) { return all.filter(function (q) { return topics.indexOf(q.topic) >= 0; }); }
    function told() { host.querySelector(".pool").textContent = filled(words.pool, { count: pool(chosen()).length }); }
    function address(show) {
      var topics = chosen();
      return "#seed=" + encodeURIComponent(field("seed").value.trim()) + "&n=" + number("length", 20) + "&pass=" + number("pass", 80) +
        "&topics=" + (topics.length === boxes.length ? "all" : topics.join(".")) + "&show=" + show;
    }
    function read() {
      var got = {};
      location.hash.slice(1).split("&").forEach(function (part) { var at = part.indexOf("="); try { got[part.slice(0, at)] = decodeURIComponent(part.slice(at + 1)); } catch (e) { /* not ours */ } });
      if (!got.seed) { return null; }
      field("seed").value = got.seed;
      field("length").value = got.n; field("pass").value = got.pass;
      boxes.forEach(function (b) { b.checked = got.topics === "all" || (got.topics || "").split(".").indexOf(b.value) >= 0; });
      return got;
    }
    /* Seed, length and topics decide which questions, in which order, with which answers where. */
    function drawn() {
      var topics = chosen(), next = chance([field("seed").value.trim(), number("length", 20), topics.join(".")].join("|"));
      return mixed(pool(topics), number("length", 20), next).map(function (q) { return { q: q, answers: answersOf(q, next) }; });
    }
    host.draw = drawn;
    function head(title) {
      var h = make("h2", title), facts = make("p", filled(words.facts, { seed: field("seed").value.trim(), count: setting.length, pass: number("pass", 80) }), "facts");
      h.tabIndex = -1;
      sheet.appendChild(h);
      sheet.appendChild(facts);
      return h;
    }
    function lines() {
      var row = make("p", "", "to-sign");
      [words.name, words.date, words.signature].forEach(function (text) { row.appendChild(make("span", text)); });
      sheet.appendChild(row);
    }
    function buttons(list) {
      var row = make("p", "", "buttons screen-only");
      list.forEach(function (b) { var e = make("button", b[0], b[2] || "plain"); e.type = "button"; e.addEventListener("click", b[1]); row.appendChild(e); });
      sheet.appendChild(row);
    }
    function back() { history.pushState(null, "", location.pathname + location.search); show(); form.querySelector("input").focus(); }
    function paper() {
      head(words.paper).focus();
      lines();
      sheet.appendChild(make("p", words.how));
      var list = make("ol", "", "paper-questions");
      setting.forEach(function (item) { var li = make("li"); asked(li, item.q, item.answers, "h3", words, null); list.appendChild(li); });
      sheet.appendChild(list);
      buttons([[words.print, function () { window.print(); }, " "], [words.settings, back]]);
    }
    function key() {
      head(words.key).focus();
      var list = make("ol", "", "key-list");
      setting.forEach(function (item) {
        var li = make("li"), right = item.answers.filter(function (a) { return a.right; })[0];
        li.appendChild(make("b", letterOf(item.answers)));
        li.appendChild(document.createTextNode(" " + (right.text ? right.text + ". " : "") + item.q.why + " "));
        li.appendChild(make("span", item.q.at, "quiet"));
        list.appendChild(li);
      });
      sheet.appendChild(list);
      buttons([[words.print, function () { window.print(); }, " "], [words.settings, back]]);
    }
    function sit() {
      var given = setting.map(function () { return -1; }), at = 0;
      function one() {
        sheet.textContent = "";
        head(words.sit);
        var item = setting[at], box = make("div", "", "at-question");
        box.appendChild(make("p", filled(words.at, { number: at + 1, all: setting.length }), "quiet"));
        var h = asked(box, item.q, item.answers, "h3", words, function (n) {
          given[at] = n;
          Array.prototype.forEach.call(box.querySelectorAll(".answer"), function (b, k) { b.setAttribute("aria-pressed", String(k === n)); });
        });
        Array.prototype.forEach.call(box.querySelectorAll(".answer"), function (b, k) { b.setAttribute("aria-pressed", String(k === given[at])); });
        sheet.appendChild(box);
        var row = [];
        if (at) { row.push([words.back, function () { at -= 1; one(); }]); }
        if (at + 1 < setting.length) { row.push([words.next, function () { at += 1; one(); }, " "]); }
        else { row.push([words.hand, hand, " "]); }
        buttons(row);
        h.focus({ preventScroll: true });
        host.scrollIntoView({ block: "start" });
      }
      function hand() {
        var open = given.filter(function (n) { return n < 0; }).length;
        if (open && !window.confirm(filled(words.open, { count: open }))) { return; }
        var right = setting.filter(function (item, k) { return given[k] >= 0 && item.answers[given[k]].right; }).length;
        var percent = Math.floor(100 * right / setting.length), pass = number("pass", 80), passed = 100 * right >= pass * setting.length;
        document.dispatchEvent(new CustomEvent("benchleaf:test", { detail: { seed: field("seed").value.trim(), right: right, all: setting.length, topics: chosen().length === boxes.length } }));
        sheet.textContent = "";
        var h = head(words.result), list = make("ol", "", "given-answers");
        sheet.appendChild(make("p", (passed ? "✓ " : "✗ ") + filled(words.score, { right: right, all: setting.length, percent: percent, pass: pass }) + " " + (passed ? words.passed : words.failed), "verdict-line said " + (passed ? "is-good" : "is-not")));
        lines();
        setting.forEach(function (item, k) {
          var li = make("li"), good = given[k] >= 0 && item.answers[given[k]].right, letter = given[k] < 0 ? words.none : LETTERS[given[k]];
          li.appendChild(make("p", item.q.ask, "asked"));
          li.appendChild(make("p", (good ? "✓ " : "✗ ") + filled(good ? words.yours : words.yours_right, { letter: letter, right: letterOf(item.answers) }), "verdict-line"));
          if (!good) {
            if (given[k] >= 0 && item.answers[given[k]].why) { li.appendChild(make("p", item.answers[given[k]].why)); }
            reason(li, item.q.why, item.q);
          }
          list.appendChild(li);
        });
        sheet.appendChild(list);
        buttons([[words.print, function () { window.print(); }, " "], [words.settings, back]]);
        h.focus();
        host.scrollIntoView({ block: "start" });
      }
      one();
    }
    function show() {
      var got = read(), kind = got && { test: sit, paper: paper, key: key }[got.show];
      sheet.textContent = "";
      setting = got ? drawn() : [];
      form.hidden = Boolean(kind && setting.length);
      told();
      if (!form.hidden) { return; }
      kind();
    }
    if (!field("seed").value) {
      var letters = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789", i, made = "";
      for (i = 0; i < 5; i++) { made += letters[Math.floor(Math.random() * letters.length)]; }
      field("seed").value = made;
    }
    boxes.forEach(function (b) { b.addEventListener("change", told); });
    Array.prototype.forEach.call(form.querySelectorAll("[data-show]"), function (b) {
      b.addEventListener("click", function () {
        if (!form.reportValidity()) { return; }
        if (!pool(chosen()).length) { host.querySelector(".pool").focus(); return; }
        history.pushState(null, "", location.pathname + location.search + address(b.getAttribute("data-show")));
        show();
      });
    });
    form.addEventListener("submit", function (e) { e.preventDefault(); });
    window.addEventListener("popstate", show);
    window.addEventListener("hashchange", show);
    host.hidden = false;
    show();
  }

  var one = document.querySelector(".rounds"), other = document.querySelector(".test");
  if (one) { rounds(one); }
  if (other) { test(other); }
}());
