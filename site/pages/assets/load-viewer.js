/* The viewer, loaded when first asked for: benchleafLoad.viewer(element, options), a promise of a view, null without WebGL.
   Its script and the head's model lie in files beside the pages and are loaded once a page. */
(function () {
  "use strict";
  var loading = null;

  function load(src) {
    return new Promise(function (done, failed) {
      var script = document.createElement("script");
      script.src = src; script.onload = done; script.onerror = failed;
      document.head.appendChild(script);
    });
  }
  /* A canvas that can be drawn on in 3D, the only one: to make one takes time. */
  function solidCanvas() {
    try {
      var canvas = document.createElement("canvas");
      return window.DecompressionStream && canvas.getContext("webgl2", { antialias: true, stencil: true, alpha: false }) ? canvas : null;
    } catch (e) { return null; }
  }
  /* What the model says, in the page's language where that is not the booklet's main one. */
  function speak(model, names) {
    model.words = names.words;
    ["parts", "tools", "steps"].forEach(function (kind) {
      names[kind].forEach(function (told, n) { Object.assign(model[kind][n], told); });
    });
  }
  window.benchleafLoad = {
    /* `options` is called when the model is there, and gives those of the view. */
    viewer: function (element, options) {
      var canvas = solidCanvas();
      if (!canvas) { return null; }
      var language = document.documentElement.getAttribute("data-suffix");
      loading = loading || Promise.all([load("viewer/viewer.js"), load("viewer/model.js")].concat(language ? [load("viewer/names" + language + ".js")] : []))
        .then(function () { if (language) { speak(window.benchleafModel[0], window.benchleafNames); } });
      return loading.then(function () {
        performance.mark("viewer-loaded");
        var given = options(window.benchleafModel[0]);
        given.canvas = canvas;
        return window.benchleafViewer.open(typeof element === "function" ? element() : element, given);
      });
    }
  };
}());
