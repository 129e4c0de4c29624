/* Photos of a job, made small; the pictures lie in the browser's database, what is said of them among the job's marks. */
(function () {
  "use strict";
  var record = window.benchleafRecord, part = document.querySelector(".photos");
  if (!record || !part) { return; }
  var MOST = 1600, QUALITY = 0.8, held = {}, ready = null;
  var trouble = part.querySelector(".photo-trouble"), at = part.querySelector(".photo-list");

  function say(said) { trouble.hidden = !said; trouble.textContent = said; }
  /* The database, or null where the browser has none for this page. */
  function database() {
    ready = ready || new Promise(function (done) {
      var asked;
      try { asked = window.indexedDB.open("benchleaf-photos", 1); } catch (e) { done(null); return; }
      if (!asked) { done(null); return; }
      asked.onupgradeneeded = function () { asked.result.createObjectStore("photos"); };
      asked.onsuccess = function () { done(asked.result); };
      asked.onerror = asked.onblocked = function () { done(null); };
    });
    return ready;
  }
  /* One act on the store: its result, or undefined where it cannot be done. */
  function store(mode, act) {
    return database().then(function (db) {
      return new Promise(function (done) {
        var asked;
        if (!db) { done(undefined); return; }
        try {
          var way = db.transaction("photos", mode);
          asked = act(way.objectStore("photos"));
          way.oncomplete = function () { done(asked.result === undefined ? null : asked.result); };
          way.onerror = way.onabort = function () { done(undefined); };
        } catch (e) { done(undefined); }
      });
    });
  }
  function place(job, id) { return record.room + job + ":" + id; }
  function keep(job, id, data) {
    held[place(job, id)] = data;
    return store("readwrite", function (s) { return s.put(data, place(job, id)); }).then(function (kept) { if (kept === undefined || !record.lasting) { say(record.text("no_photos_kept")); } });
  }
  function get(job, id) {
    var own = held[place(job, id)];
    return own ? Promise.resolve(own) : store("readonly", function (s) { return s.get(place(job, id)); });
  }
  function drop(job, id) { delete held[place(job, id)]; return store("readwrite", function (s) { return s.delete(place(job, id)); }); }
  function all(job) {
    var marks = record.marks(job), of = Object.keys(marks).filter(function (k) { return k.indexOf("photo/") === 0; }).map(function (k) { return marks[k]; });
    of.sort(function (a, b) { return a.at < b.at ? -1 : 1; });
    return Promise.all(of.map(function (photo) { return get(job, photo.id).then(function (data) { return { id: photo.id, caption: photo.caption, at: photo.at, data: data }; }); }))
      .then(function (found) { return found.filter(function (p) { return p.data; }); });
  }

  function picture(address) {
    return new Promise(function (done, failed) { var image = new Image(); image.onload = function () { done(image); }; image.onerror = failed; image.src = address; });
  }
  function address(file) {
    return new Promise(function (done, failed) { var reader = new FileReader(); reader.onload = function () { done(reader.result); }; reader.onerror = failed; reader.readAsDataURL(file); });
  }
  /* A picture as JPEG, its longer side at most MOST pixels, on white. */
  function small(file) {
    return address(file).then(picture).then(function (image) {
      var scale = Math.min(1, MOST / Math.max(image.naturalWidth, image.naturalHeight)), canvas = document.createElement("canvas");
      canvas.width = Math.max(1, Math.round(image.naturalWidth * scale)); canvas.height = Math.max(1, Math.round(image.naturalHeight * scale));
      var pen = canvas.getContext("2d");
      pen.fillStyle = "#fff"; pen.fillRect(0, 0, canvas.width, canvas.height);
      pen.drawImage(image, 0, 0, canvas.width, canvas.height);
      return canvas.toDataURL("image/jpeg", QUALITY);
    });
  }
  function shown(job, photo) {
    var item = document.createElement("li"), image = document.createElement("img"), label = document.createElement("label"), field = document.createElement("input"), copy = document.createElement("span"), when = document.createElement("p"), gone = document.createElement("button");
    image.src = photo.data; image.alt = photo.caption || record.text("photo_alt", { at: record.shown(photo.at) });
    label.textContent = at.getAttribute("data-caption") + " ";
    field.value = photo.caption || ""; field.maxLength = 400; field.className = photo.caption ? "filled" : "";
    copy.className = "on-paper"; copy.textContent = field.value;
    field.addEventListener("input", function () {
      var said = record.clean(field.value);
      copy.textContent = said; field.className = said.trim() ? "filled" : "";
      if (said.trim()) { image.alt = said; }
      record.mark("photo/" + photo.id, { id: photo.id, caption: said.trim() ? said : undefined, at: photo.at });
    });
    label.appendChild(field); label.appendChild(copy);
    when.className = "stamp"; when.textContent = record.shown(photo.at);
    gone.type = "button"; gone.className = "screen-only remove"; gone.textContent = record.text("photo_remove");
    gone.addEventListener("click", function () {
      if (!window.confirm(record.text("photo_ask"))) { return; }
      record.mark("photo/" + photo.id, null); drop(job, photo.id); show(job);
    });
    [image, label, when, gone].forEach(function (node) { item.appendChild(node); });
    return item;
  }
  var turn = 0;
  function show(job) {
    var mine = ++turn;
    return (job ? all(job) : Promise.resolve([])).then(function (found) {
      if (mine !== turn) { return; }
      at.textContent = "";
      found.forEach(function (photo) { at.appendChild(shown(job, photo)); });
    });
  }
  part.querySelector(".photo-file").addEventListener("change", function (e) {
    var file = e.target.files[0], field = e.target;
    if (!file) { return; }
    say("");
    small(file).then(function (data) {
      var job = record.open() || record.begin(), id = "photo-" + Date.now().toString(36);
      return keep(job, id, data).then(function () { record.mark("photo/" + id, { id: id, at: record.stamp() }); record.fill(); });
    }, function () { say(record.text("no_picture", { name: file.name })); }).then(function () { field.value = ""; });
  });
  record.photos = {
    show: show, all: all, keep: keep,
    removeAll: function (job) {
      Object.keys(held).forEach(function (k) { if (k.indexOf(place(job, "")) === 0) { delete held[k]; } });
      return store("readwrite", function (s) { return s.delete(window.IDBKeyRange.bound(place(job, ""), place(job, "\uffff"))); });
    }
  };
}());
