/* Practice of the order: choose what comes next, by tap, by key or by dragging it onto the bench; the page answers by what the
   solids force and by the sequence's rules. What is done is kept in this browser. */
(function () {
  "use strict";
  var LONG_PRESS_MS = 260, DRAG_PX = 7;

  var learn = window.benchleafLearn, make = learn.make, filled = learn.filled;
  function cut(pic) { return learn.cut(pic, "", true); }
  var store = "benchleaf:" + (document.body.getAttribute("data-booklet") || "") + ":practice-";
  function kept(key) { try { return JSON.parse(localStorage.getItem(store + key)); } catch (e) { return null; } }
  function keep(key, value) { try { localStorage.setItem(store + key, JSON.stringify(value)); } catch (e) { /* not kept */ } }
  function drop(key) { try { localStorage.removeItem(store + key); } catch (e) { /* not kept */ } }

  /* What speaks against a choice now, as [by the solids, sentence]: OrderPractice.against. */
  function against(data, done, n) {
    var choice = data.choices[n], said = [];
    function is(k) { return done.indexOf(k) >= 0; }
    choice.hurdles.forEach(function (h) { if (is(h[0]) === h[1]) { said.push([h[2], h[3]]); } });
    if (choice.held.some(function (any) { return !any.some(is); })) { said.push([true, choice.loose]); }
    return said;
  }

  function start(drill) {
    var data = JSON.parse(drill.querySelector(".practice-data").textContent), key = drill.id, count = data.choices.length;
    var board = drill.querySelector(".board"), say = board.querySelector(".said"), begin = say.innerHTML, top = board.querySelector(".bench-seen");
    var doneList = board.querySelector(".done-list"), score = board.querySelector(".score"), lists = board.querySelectorAll(".tiles");
    var hint = board.querySelector("[data-do=hint]"), back = board.querySelector("[data-do=back]");
    var done = [], tries = 0, right = 0, tiles = {};
    function word(name) { return board.getAttribute("data-" + name); }
    drill.judge = function (soFar, n) { return against(data, soFar, n); };

    function left() { return data.choices.map(function (_, n) { return n; }).filter(function (n) { return done.indexOf(n) < 0; }); }
    function sentence(label, text, more) {
      var p = make("p"), mark = make("b", label);
      p.appendChild(mark);
      p.appendChild(document.createTextNode(" " + text));
      if (more > 0) { p.appendChild(make("span", " " + filled(word("more"), { count: more }), "quiet")); }
      return p;
    }
    function tell(good, head, lines) {
      say.textContent = "";
      say.className = "said " + (good ? "is-good" : "is-not");
      say.appendChild(make("p", (good ? "✓ " : "✗ ") + head, "verdict-line"));
      lines.forEach(function (line) { if (line) { say.appendChild(typeof line === "string" ? make("p", line) : line); } });
    }
    function show() {
      data.choices.forEach(function (_, n) { tiles[n].hidden = done.indexOf(n) >= 0; });
      Array.prototype.forEach.call(lists, function (list) {
        list.previousElementSibling.hidden = !list.querySelector("li:not([hidden])");
      });
      doneList.textContent = "";
      if (!done.length) { doneList.appendChild(make("li", word("none"), "quiet none")); }
      done.forEach(function (n) {
        var item = make("li"), name = make("span", data.choices[n].words, "name");
        item.appendChild(cut(data.choices[n].pic));
        item.appendChild(name);
        doneList.appendChild(item);
      });
      doneList.scrollTop = doneList.scrollHeight; doneList.scrollLeft = doneList.scrollWidth;
      score.textContent = filled(word("progress"), { done: done.length, all: count }) + (tries ? " · " + filled(word("score"), { right: right, tries: tries }) : "");
      back.disabled = !done.length;
      hint.disabled = done.length === count;
      if (tries) { keep(key, { of: count, done: done, tries: tries, right: right }); } else { drop(key); }
      /* Who draws the head beside it can follow. */
      drill.dispatchEvent(new CustomEvent("practised", { bubbles: true, detail: {
        sequence: data.sequence, choices: done.slice(), steps: done.map(function (n) { return data.choices[n].step; }),
        parts: done.reduce(function (all, n) { return data.choices[n].work ? all : all.concat(data.choices[n].parts); }, [])
      } }));
    }
    function unmark() {
      Object.keys(tiles).forEach(function (n) { tiles[n].querySelector("button").classList.remove("missed", "hinted"); });
    }
    function focusNear(n) {
      var all = Array.prototype.filter.call(tiles[n].parentNode.children, function (item) { return !item.hidden; });
      var after = all.filter(function (item) { return item.compareDocumentPosition(tiles[n]) & Node.DOCUMENT_POSITION_PRECEDING; });
      var to = after[0] || all[all.length - 1] || board.querySelector(".tiles li:not([hidden])");
      (to ? to.querySelector("button") : board.querySelector("[data-do=again]")).focus({ preventScroll: true });
    }
    function pick(n) {
      var said = against(data, done, n), choice = data.choices[n], lines = [];
      tries += 1;
      if (said.length) {
        [[true, "solids"], [false, "rule"]].forEach(function (ground) {
          var these = said.filter(function (s) { return s[0] === ground[0]; }).map(function (s) { return s[1]; });
          these = these.filter(function (text, at) { return these.indexOf(text) === at; });
          if (these.length) { lines.push(sentence(word(ground[1]), these[0], these.length - 1)); }
        });
        tiles[n].querySelector("button").classList.add("missed");
        tell(false, filled(word("wrong"), { part: choice.words }), lines);
        show();
        return;
      }
      right += 1;
      done.push(n);
      unmark();
      var link = make("a", filled(word("step"), choice)), to = make("p", "", "quiet");
      link.href = choice.href;
      to.appendChild(link);
      lines = [choice.why, to];
      if (done.length === count) { lines.unshift(filled(word("all"), { tries: tries, moves: count })); }
      tell(true, filled(word("right"), { part: choice.words }), lines);
      show();
      focusNear(n);
    }

    /* ---- tiles: tapped, or dragged onto the bench */
    var drag = null, dragged = false;
    function over(e) {
      var r = top.getBoundingClientRect();
      return e.clientX >= r.left && e.clientX <= r.right && e.clientY >= r.top && e.clientY <= r.bottom;
    }
    function lift() {
      drag.on = true;
      drag.ghost = drag.tile.cloneNode(true);
      drag.ghost.className = "tile ghost";
      drag.ghost.setAttribute("aria-hidden", "true");
      drag.ghost.style.width = drag.tile.offsetWidth + "px";
      board.appendChild(drag.ghost);
      drag.tile.classList.add("lifted");
      top.classList.add("waits");
      carry(drag);
    }
    function carry(at) {
      drag.ghost.style.transform = "translate(" + (at.clientX - drag.tile.offsetWidth / 2) + "px," + (at.clientY - 40) + "px)";
      top.classList.toggle("over", over(at));
    }
    function letGo() {
      if (!drag) { return; }
      clearTimeout(drag.timer);
      if (drag.ghost) { drag.ghost.remove(); }
      drag.tile.classList.remove("lifted");
      top.classList.remove("waits", "over");
      drag = null;
    }
    function tile(n) {
      var choice = data.choices[n], item = make("li"), button = make("button", "", "tile");
      button.type = "button";
      button.setAttribute("data-choice", n);
      button.appendChild(cut(choice.pic));
      button.appendChild(make("b", choice.words));
      if (choice.small) { button.appendChild(make("small", choice.small)); }
      button.addEventListener("click", function () { if (dragged) { dragged = false; return; } pick(n); });
      button.addEventListener("pointerdown", function (e) {
        dragged = false;
        if (e.button) { return; }
        letGo();
        drag = { n: n, tile: button, id: e.pointerId, x: e.clientX, y: e.clientY, clientX: e.clientX, clientY: e.clientY, touch: e.pointerType !== "mouse" };
        if (drag.touch) { drag.timer = setTimeout(function () { if (drag && !drag.on) { lift(); } }, LONG_PRESS_MS); }
      });
      button.addEventListener("contextmenu", function (e) { if (drag && drag.touch) { e.preventDefault(); } });
      item.appendChild(button);
      tiles[n] = item;
      return item;
    }
    document.addEventListener("pointermove", function (e) {
      if (!drag || e.pointerId !== drag.id) { return; }
      drag.clientX = e.clientX; drag.clientY = e.clientY;
      var far = Math.abs(e.clientX - drag.x) + Math.abs(e.clientY - drag.y) > DRAG_PX;
      if (!drag.on && far) { if (drag.touch) { letGo(); return; } lift(); }
      if (drag && drag.on) { carry(e); e.preventDefault(); }
    });
    document.addEventListener("pointerup", function (e) {
      if (!drag || e.pointerId !== drag.id) { return; }
      var was = drag, home = was.on && over(e);
      letGo();
      if (was.on) { dragged = true; setTimeout(function () { dragged = false; }, 0); }
      if (home) { pick(was.n); }
    });
    document.addEventListener("pointercancel", letGo);
    board.addEventListener("touchmove", function (e) { if (drag && drag.on) { e.preventDefault(); } }, { passive: false });
    board.addEventListener("dragstart", function (e) { e.preventDefault(); });

    /* ---- the rest of the board */
    left().sort(function (a, b) { return data.choices[a].words.localeCompare(data.choices[b].words) || a - b; })
      .forEach(function (n) { lists[data.choices[n].work ? 1 : 0].appendChild(tile(n)); });
    hint.addEventListener("click", function () {
      var n = left().filter(function (n) { return !against(data, done, n).length; })[0], button;
      if (n === undefined) { return; }
      tries += 1;
      unmark();
      say.textContent = "";
      say.className = "said";
      say.appendChild(make("p", filled(word("hint"), { part: data.choices[n].words })));
      show();
      button = tiles[n].querySelector("button");
      button.classList.add("hinted");
      button.focus();
    });
    back.addEventListener("click", function () {
      if (done.length) { done.pop(); unmark(); say.innerHTML = begin; say.className = "said"; show(); }
    });
    board.querySelector("[data-do=again]").addEventListener("click", function () {
      done = []; tries = 0; right = 0;
      unmark();
      say.innerHTML = begin; say.className = "said";
      show();
    });
    board.querySelector(".left-over").addEventListener("keydown", function (e) {
      var all = Array.prototype.slice.call(board.querySelectorAll(".tiles li:not([hidden]) button")), at = all.indexOf(document.activeElement);
      var step = { ArrowDown: 1, ArrowRight: 1, ArrowUp: -1, ArrowLeft: -1 }[e.key];
      if (!step || at < 0) { return; }
      all[(at + step + all.length) % all.length].focus();
      e.preventDefault();
    });

    /* What was done before goes on, where it still is an order that works. */
    var was = kept(key);
    if (was && was.of === count && Array.isArray(was.done) && was.done.every(function (n, at) {
      return Number.isInteger(n) && n >= 0 && n < count && was.done.indexOf(n) === at && !against(data, was.done.slice(0, at), n).length;
    })) { done = was.done.slice(); tries = Math.max(Number(was.tries) || 0, done.length); right = done.length; }
    board.hidden = false;
    show();
  }

  Array.prototype.forEach.call(document.querySelectorAll(".drill"), start);
}());
