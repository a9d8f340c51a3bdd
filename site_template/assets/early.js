/* Runs in the head, before anything is painted; in a file, as no script that stands in a page may
   run. Says that scripts do, puts on light or dark, and gives the theme the store it asks for. */
(function () {
  "use strict";

  var page = document.documentElement;
  var own = document.currentScript;

  page.className = "js";

  /* The reader's choice, else the system's. Storage may be refused, as in a private window. */
  function isDark() {
    var chosen = null;
    try { chosen = localStorage.getItem("report-scheme"); } catch (refused) { /* see above */ }
    return chosen ? chosen === "slate" : matchMedia("(prefers-color-scheme: dark)").matches;
  }

  /* The body is not there yet. An observer acts as soon as it is, still before it is painted. */
  new MutationObserver(function (changes, watcher) {
    if (!document.body) return;
    watcher.disconnect();
    document.body.setAttribute("data-md-color-scheme", isDark() ? "slate" : "default");
  }).observe(page, { childList: true });

  /* Under these names the theme's script remembers what a reader opened, for this site alone. */
  var site = new URL("..", own.src);
  function name(key, scope) { return scope.pathname + "." + key; }

  window.__md_scope = site;
  window.__md_get = function (key, store, scope) {
    return JSON.parse((store || localStorage).getItem(name(key, scope || site)));
  };
  window.__md_set = function (key, value, store, scope) {
    try {
      (store || localStorage).setItem(name(key, scope || site), JSON.stringify(value));
    } catch (refused) { /* see above */ }
  };
  window.__md_hash = function (text) {
    return Array.from(text).reduce(function (sum, letter) {
      return (Math.imul(sum, 31) + letter.codePointAt(0)) | 0;
    }, 0);
  };
})();
