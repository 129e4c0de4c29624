/* Practice: pick the next part; the page answers from the order that the solids force. Nothing is kept when it closes. */
(function () {
  "use strict";

  function make(tag, text, name) {
    var e = document.createElement(tag);
    if (text) { e.textContent = text; }
    if (name) { e.className = name; }
    return e;
  }
  function filled(text, fields) { return text.replace(/\{(\w+)\}/g, function (_, k) { return String(fields[k]); }); }

  /* What speaks against a move now: the rules of the data, in its own words. */
  function against(data, done, n) {
    var move = data.moves[n], said = [];
    function is(k) { return done.indexOf(k) >= 0; }
    move.needs.forEach(function (h) { if (!is(h[0])) { said.push(h[1]); } });
    if (move.into) {
      move.blocked.forEach(function (h) { if (is(h[0])) { said.push(h[1]); } });
      move.shuts.forEach(function (h) { if (!is(h[0])) { said.push(h[1]); } });
      if (!move.held && !move.heldBy.some(is)) { said.push(move.loose); }
    } else {
      move.blocked.forEach(function (h) { if (!is(h[0])) { said.push(h[1]); } });
    }
    return said;
  }

  function start(drill) {
    var data = JSON.parse(drill.querySelector(".practice-data").textContent);
    var board = drill.querySelector(".board"), say = board.querySelector(".said"), begin = say.innerHTML;
    var choices = board.querySelector(".choices"), doneList = board.querySelector(".done-list"), score = board.querySelector(".score");
    var done = [], tries = 0, right = 0, missed = {};
    function word(name) { return board.getAttribute("data-" + name); }

    function tell(good, head, lines) {
      say.textContent = "";
      var top = make("p", (good ? "✓ " : "✗ ") + head, "verdict-line");
      say.appendChild(top);
      lines.forEach(function (text) { if (text) { say.appendChild(make("p", text)); } });
    }
    function left() {
      return data.moves.map(function (_, n) { return n; })
        .filter(function (n) { return done.indexOf(n) < 0; })
        .sort(function (a, b) { return data.moves[a].words.localeCompare(data.moves[b].words) || a - b; });
    }
    function show(focus) {
      choices.textContent = "";
      left().forEach(function (n) {
        var move = data.moves[n], item = make("li"), button = make("button", move.words, missed[n] ? "missed" : "");
        button.type = "button";
        button.setAttribute("data-move", n);
        if (move.bench) { button.appendChild(make("small", filled(word("bench"), { unit: move.bench }))); }
        button.addEventListener("click", function () { pick(n); });
        item.appendChild(button);
        choices.appendChild(item);
      });
      doneList.textContent = "";
      if (!done.length) { doneList.appendChild(make("li", word("none"), "quiet none")); }
      done.forEach(function (n) { doneList.appendChild(make("li", data.moves[n].words)); });
      score.textContent = tries ? filled(word("score"), { right: right, tries: tries }) : "";
      var all = choices.querySelectorAll("button");
      if (focus >= 0 && all.length) { all[Math.min(focus, all.length - 1)].focus(); }
    }
    function pick(n) {
      var said = against(data, done, n), move = data.moves[n], place = left().indexOf(n);
      tries += 1;
      if (said.length) {
        missed[n] = true;
        tell(false, filled(word("wrong"), { part: move.words }), said);
        show(place);
        return;
      }
      right += 1;
      missed = {};
      done.push(n);
      var lines = [filled(word("step"), move), move.why];
      if (!left().length) { lines.push(filled(word("all"), { tries: tries, moves: data.moves.length })); }
      tell(true, move.words + ": " + word("right"), lines);
      show(place);
    }
    board.querySelector("[data-do=hint]").addEventListener("click", function () {
      var open = left().filter(function (n) { return !against(data, done, n).length; });
      if (!open.length) { return; }
      var n = Math.min.apply(null, open), button = choices.querySelector('[data-move="' + n + '"]');
      tries += 1;
      say.textContent = "";
      say.appendChild(make("p", filled(word("hint"), { part: data.moves[n].words })));
      show(-1);
      button = choices.querySelector('[data-move="' + n + '"]');
      button.className = "hinted";
      button.focus();
    });
    board.querySelector("[data-do=again]").addEventListener("click", function () {
      done = []; tries = 0; right = 0; missed = {};
      say.innerHTML = begin;
      show(0);
    });
    choices.addEventListener("keydown", function (e) {
      var all = Array.prototype.slice.call(choices.querySelectorAll("button")), at = all.indexOf(document.activeElement);
      var step = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[e.key];
      if (!step || at < 0) { return; }
      all[(at + step + all.length) % all.length].focus();
      e.preventDefault();
    });
    board.hidden = false;
    show(-1);
  }

  Array.prototype.forEach.call(document.querySelectorAll(".drill"), start);
}());
