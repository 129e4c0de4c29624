/* Reads a record's file with the place of everything in it, and holds it against the form of a record (JSON Schema).
   read(text) -> { data, places, faults }; check(data, schema) -> [{ path, found, allowed, fix, key }]. */
(function () {
  "use strict";
  var record = window.benchleafRecord;
  if (!record) { return; }
  var MOST_DEPTH = 12, MOST_SHOWN = 60;
  function say(key, fields) { return record.text(key, fields); }
  function fault(at, found, allowed, fix) { return { at: at, found: found, allowed: allowed, fix: fix }; }

  /* The value at each path is found by its first sign; a path is its keys and numbers, joined by line ends. */
  function path(of) { return of.join("\n"); }

  function read(said) {
    var at = 0, places = {}, keys = {}, faults = [];
    function Broken(wanted) { this.at = at; this.wanted = wanted; }
    function white() { while (/[ \t\r\n]/.test(said.charAt(at)) && at < said.length) { at++; } }
    function string() {
      var start = at, end = at + 1;
      while (end < said.length && said.charAt(end) !== '"') {
        if (said.charAt(end) < " ") { at = end; throw new Broken("want_string"); }
        end += said.charAt(end) === "\\" ? 2 : 1;
      }
      if (end >= said.length) { at = said.length; throw new Broken("want_string"); }
      at = end + 1;
      try { return JSON.parse(said.slice(start, at)); } catch (e) { at = start; throw new Broken("want_string"); }
    }
    function next(sign, wanted) { white(); if (said.charAt(at) !== sign) { throw new Broken(wanted); } at++; }
    function value(here) {
      white();
      places[path(here)] = at;
      if (here.length > MOST_DEPTH) { throw new Broken("want_depth"); }
      var sign = said.charAt(at), found, word;
      if (sign === '"') { return string(); }
      if (sign === "{") {
        found = Object.create(null); at++; white();
        if (said.charAt(at) === "}") { at++; return found; }
        for (;;) {
          white();
          if (said.charAt(at) !== '"') { throw new Broken("want_key"); }
          var start = at, key = string(), below = here.concat([key]);
          if (key in found) { faults.push(fault(start, say("key_twice", { key: cut(key) }), say("key_twice_allowed"), say("key_twice_fix"))); }
          keys[path(below)] = start;
          next(":", "want_colon");
          found[key] = value(below);
          white();
          if (said.charAt(at) === "}") { at++; return found; }
          next(",", "want_comma");
        }
      }
      if (sign === "[") {
        found = []; at++; white();
        if (said.charAt(at) === "]") { at++; return found; }
        for (;;) {
          found.push(value(here.concat([found.length])));
          white();
          if (said.charAt(at) === "]") { at++; return found; }
          next(",", "want_comma");
        }
      }
      word = /^(?:true|false|null|-?(?:0|[1-9]\d*)(?:\.\d+)?(?:[eE][-+]?\d+)?)(?![\w.])/.exec(said.slice(at, at + 400));
      if (!word) { throw new Broken("want_value"); }
      at += word[0].length;
      return JSON.parse(word[0]);
    }
    function place(of) {
      var before = said.slice(0, of), line = before.split("\n").length;
      return { line: line, column: of - before.lastIndexOf("\n") };
    }
    var data;
    try {
      if (said.charAt(0) === "\ufeff") { at = 1; }
      data = value([]);
      white();
      if (at < said.length) { throw new Broken("want_end"); }
    } catch (e) {
      if (!(e instanceof Broken)) { throw e; }
      var sign = e.at >= said.length ? say("no_json_end") : /[!-~]/.test(said.charAt(e.at)) ? said.charAt(e.at) : JSON.stringify(said.charAt(e.at));
      faults.push(fault(e.at, say("no_json", { sign: sign }), say("no_json_allowed", { wanted: say(e.wanted, { most: MOST_DEPTH }) }), say("no_json_fix")));
      data = undefined;
    }
    function where(of, key) {
      for (var n = of.length; n >= 0; n--) {
        var p = path(of.slice(0, n));
        if (key && n === of.length && keys[p] !== undefined) { return keys[p]; }
        if (places[p] !== undefined) { return places[p]; }
      }
      return 0;
    }
    return { data: data, faults: faults, place: place, where: where };
  }

  function cut(said) { said = String(said).replace(/\s+/g, " "); return said.length > MOST_SHOWN ? said.slice(0, MOST_SHOWN - 1) + "…" : said; }
  function kind(of) { return of === null ? "null" : Array.isArray(of) ? "array" : typeof of; }
  function shown(of) { return typeof of === "string" ? "'" + cut(of) + "'" : of === null ? say("type_null") : Array.isArray(of) ? say("a_list", { count: of.length }) : kind(of) === "object" ? say("type_object") : String(of); }

  /* The part of JSON Schema that the form of a record uses. */
  function check(data, whole) {
    var found = [];
    function resolved(schema) { return schema.$ref ? whole.$defs[schema.$ref.split("/").pop()] : schema; }
    function add(here, said, allowed, fix, key) { found.push({ path: here, found: said, allowed: allowed, fix: fix, key: key }); }
    function fits(type, of) { return type === "integer" ? Number.isInteger(of) : type === "number" ? typeof of === "number" && isFinite(of) : type === kind(of); }
    function hold(of, schema, here) {
      schema = resolved(schema);
      if (schema.anyOf) {
        var types = schema.anyOf.map(resolved);
        if (types.some(function (s) { return s.type === "null"; }) && of === null) { return; }
        schema = types.filter(function (s) { return s.type !== "null"; })[0];
      }
      var again = say("again_fix");
      if (schema.type && !fits(schema.type, of)) { add(here, shown(of), say("type_" + (schema.type === "string" ? "text" : schema.type)), again); return; }
      if ("const" in schema && of !== schema.const) { add(here, shown(of), String(schema.const), again); return; }
      if (schema.enum && schema.enum.indexOf(of) < 0) { add(here, shown(of), schema.enum.join(", "), again); return; }
      if (typeof of === "string") {
        if (schema.maxLength !== undefined && Array.from(of).length > schema.maxLength) { add(here, say("longest", { count: of.length }), say("longest_allowed", { most: schema.maxLength }), again); return; }
        if (schema.pattern && !new RegExp(schema.pattern, "u").test(of)) { add(here, shown(of), schema.pattern.length > 60 ? say("type_text") : say("pattern_allowed", { pattern: schema.pattern }), again); return; }
      }
      if (typeof of === "number" && ((schema.minimum !== undefined && of < schema.minimum) || (schema.maximum !== undefined && of > schema.maximum))) {
        add(here, shown(of), say("range_allowed", { least: schema.minimum, most: schema.maximum }), again);
      }
      if (schema.type === "array") { of.forEach(function (entry, n) { hold(entry, schema.items, here.concat([n])); }); }
      if (schema.type === "object") {
        Object.keys(of).forEach(function (key) {
          if (schema.properties[key]) { hold(of[key], schema.properties[key], here.concat([key])); }
          else { add(here.concat([key]), say("key_unknown", { key: cut(key) }), say("key_unknown_allowed", { keys: Object.keys(schema.properties).join(", ") }), say("key_unknown_fix"), true); }
        });
        (schema.required || []).forEach(function (key) { if (!(key in of)) { add(here, say("key_missing", { key: key }), say("key_missing_allowed", { key: key }), again); } });
      }
    }
    hold(data, whole, []);
    return found;
  }
  record.read = { read: read, check: check, words: function (of) { return of.map(function (p) { return typeof p === "number" ? "#" + (p + 1) : p; }).join(" > "); } };
}());
