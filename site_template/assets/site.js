/* The frame around every page: light or dark, the menu and the search on a phone. */
(function () {
  "use strict";

  var KEY = "report-scheme";
  var body = document.body;
  var system = matchMedia("(prefers-color-scheme: dark)");
  var toggle = document.querySelector(".sheet-scheme");
  var menu = document.querySelector(".sheet-menu");

  /* Storage may be refused, as in a private window: then the choice lasts for this page. */
  function chosen() {
    try { return localStorage.getItem(KEY); } catch (refused) { return null; }
  }
  function choose(scheme) {
    try { localStorage.setItem(KEY, scheme); } catch (refused) { /* see above */ }
  }

  function isDark() { return body.getAttribute("data-md-color-scheme") === "slate"; }

  function show(dark) {
    body.setAttribute("data-md-color-scheme", dark ? "slate" : "default");
    if (!toggle) return;
    var label = dark ? toggle.dataset.toLight : toggle.dataset.toDark;
    toggle.setAttribute("aria-label", label);
    toggle.title = label;
  }

  if (toggle) {
    toggle.hidden = false;
    show(isDark());
    toggle.addEventListener("click", function () {
      show(!isDark());
      choose(isDark() ? "slate" : "default");
    });
    system.addEventListener("change", function (event) {
      if (!chosen()) show(event.matches);
    });
  }

  if (menu) {
    document.addEventListener("click", function (event) {
      if (!menu.contains(event.target)) menu.open = false;
    });
    menu.addEventListener("keydown", function (event) {
      if (event.key !== "Escape" || !menu.open) return;
      menu.open = false;
      menu.querySelector("summary").focus();
    });
  }

  /* On paper the theme unfolds everything. Earlier than it this notes what the reader left folded. */
  window.addEventListener("beforeprint", function () {
    document.querySelectorAll("details").forEach(function (part) {
      part.toggleAttribute("data-folded", !part.open);
    });
  }, true);

  /* The theme keeps whether its search is open in a hidden box. Whoever opens it can type at once;
     whoever closes it, by the button or by a key, is back where it was opened. */
  var search = document.getElementById("__search");
  var find = document.querySelector(".sheet-find");
  var close = document.querySelector(".sheet-search__close");
  var query = document.querySelector(".md-search__input");
  if (search && find && close && query) {
    find.addEventListener("click", function () { search.click(); });
    close.addEventListener("click", function () { search.click(); });
    search.addEventListener("change", function () {
      if (search.checked) query.focus();
      else if (find.checkVisibility()) find.focus();
    });
  }
})();
