/* A reading against the limits that its row carries: the same sums as the program's own verdict, Judging.verdict. */
(function () {
  "use strict";
  var record = window.benchleafRecord;
  if (!record) { return; }
  function number(typed) {
    var plain = typed.trim().replace(",", ".").replace("\u2212", "-");
    return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : NaN;
  }
  /* What guards it, and whether, stands at the instrument. */
  function verdict(n, guard, guarded, low, high, floor) {
    if (floor !== null && n < floor) { return "below"; }
    if (low === null && high === null) { return "nolimits"; }
    var least = low === null ? -Infinity : low, most = high === null ? Infinity : high;
    if (least + guard <= n && n <= most - guard) { return "within"; }
    if (guarded) { return n < least - guard || n > most + guard ? "outside" : "open"; }
    return least <= n && n <= most ? "near" : "outside";
  }
  function figure(node, name) { var said = node.getAttribute("data-" + name); return said === null ? null : Number(said); }

  /* A figure in the unit of the limits. Twelve digits are more than any instrument has, and leave out what binary sums add:
     0.005 in is 0.127 mm, not a hair less (the program: in_unit_of_limits). */
  function inLimitsUnit(row, n, unit) {
    var own = row.getAttribute("data-limits-unit"), other = row.querySelector(".unit");
    if (unit === own || isNaN(n)) { return n; }
    return Number((n * figure(other, "factor") + figure(other, "shift")).toPrecision(12));
  }
  /* A torque wrench's entry, WrenchSetting.verdict */
  function setting(n, row, unit, low, high) {
    function end(name) { return inLimitsUnit(row, number(row.querySelector(name).value), unit); }
    var least = end(".least"), most = end(".most");
    if (n < 0) { return "below"; }
    if ((low !== null && n < low) || (high !== null && n > high)) { return "outside"; }
    if (n < least || n > most) { return "beyond"; }
    if (isNaN(least) || isNaN(most) || row.querySelector(".certificate").value.trim() === "" || !row.querySelector(".clicked").checked) { return "incomplete"; }
    return low === null && high === null ? "nolimitsset" : "set";
  }
  /* What the row as it stands says; empty where nothing was read. */
  function judged(row, unit) {
    var field = row.querySelector(".reading"), by_eye = row.querySelector("input[type=radio]:checked");
    if (!field) { return by_eye ? by_eye.value : ""; }
    if (field.value.trim() === "") { return ""; }
    var n = inLimitsUnit(row, number(field.value), unit), choice = row.querySelector(".with select");
    var tool = choice ? choice.options[choice.selectedIndex] : field, low = figure(row, "low"), high = figure(row, "high");
    if (isNaN(n)) { return "nan"; }
    if (field.classList.contains("setting")) { return setting(n, row, unit, low, high); }
    return verdict(n, figure(tool, "guard") || 0, tool.hasAttribute("data-guarded"), low, high, figure(row, "floor"));
  }
  /* What to do about it. */
  var ACTS = { outside: "act_outside", fail: "act_outside", near: "act_near", open: "act_open", below: "act_again", beyond: "act_beyond" };
  record.judge = { number: number, inLimitsUnit: inLimitsUnit, judged: judged, act: function (state) { return ACTS[state] ? record.text(ACTS[state]) : ""; } };
}());
