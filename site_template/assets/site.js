/* The frame around every page: light or dark, the menu on a phone, labels that act as buttons. */
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

  /* The theme opens its search by a label; Enter it handles itself, a space bar it does not. */
  document.querySelectorAll("label[role=button]").forEach(function (label) {
    label.addEventListener("keydown", function (event) {
      if (event.key !== " ") return;
      event.preventDefault();
      label.click();
    });
  });
})();
