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
  window.benchleafLoad = {
    /* `options` is called when the model is there, and gives those of the view. */
    viewer: function (element, options) {
      var canvas = solidCanvas();
      if (!canvas) { return null; }
      loading = loading || Promise.all([load("viewer/viewer.js"), load("viewer/model.js")]);
      return loading.then(function () {
        performance.mark("viewer-loaded");
        var given = options(window.benchleafModel[0]);
        given.canvas = canvas;
        return window.benchleafViewer.open(typeof element === "function" ? element() : element, given);
      });
    }
  };
}());
