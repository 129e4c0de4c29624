/* Read aloud by a voice of this device: of a step its title, its safety messages, then its acts. "Next" reads the next step.
   Voices that work over the network are left alone: nothing of a page leaves the device. */
(function () {
  "use strict";
  var voices = window.speechSynthesis, thumb = document.querySelector(".thumb"), button = thumb && thumb.querySelector(".aloud");
  if (!voices || !button) { return; }
  var steps = Array.prototype.slice.call(document.querySelectorAll(".step")), at = thumb.querySelector(".at");
  var language = document.documentElement.lang.split("-")[0], on = false, last = -1;

  function voice() {
    return voices.getVoices().filter(function (v) { return v.localService && v.lang.split(/[-_]/)[0] === language; })[0] || null;
  }
  function here() { return parseInt(at.textContent, 10) - 1; }
  function plain(node) { return node.textContent.replace(/\s+/g, " ").trim(); }
  function texts(step) {
    var number = button.getAttribute("data-step").replace("{number}", step.getAttribute("data-step"));
    var said = [number + ". " + plain(step.querySelector("h3 > .number").parentNode).replace(/^\d+\s*/, "")];
    Array.prototype.forEach.call(step.querySelectorAll(".safety .signal, .safety .message, .again .word, .again .hazard, .acts > li"), function (node) { said.push(plain(node)); });
    return said;
  }
  function read() {
    voices.cancel();
    last = here();
    if (last < 0) { return; }
    var mine = voice();
    texts(steps[last]).forEach(function (text) {
      var said = new SpeechSynthesisUtterance(text);
      said.voice = mine;
      said.lang = mine.lang;
      voices.speak(said);
    });
  }
  function turn(to) {
    on = to;
    button.setAttribute("aria-pressed", String(on));
    if (!on) { voices.cancel(); return; }
    if (here() < 0) { thumb.querySelector(".next").click(); }
    read();
  }
  button.addEventListener("click", function () { turn(!on); });
  new MutationObserver(function () { if (on && here() !== last) { read(); } }).observe(at, { childList: true, characterData: true, subtree: true });
  document.addEventListener("visibilitychange", function () { if (document.hidden && on) { turn(false); } });
  window.addEventListener("pagehide", function () { voices.cancel(); });
  function offer() { button.hidden = voice() === null; }
  if (voices.addEventListener) { voices.addEventListener("voiceschanged", offer); }
  offer();
}());
