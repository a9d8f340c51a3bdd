/* Turns still drawings into interactive charts. The page never waits for it: on a wide screen the
   chart library is fetched when the browser is idle and a chart comes near, on a small one on a tap.
   Whatever goes wrong, the still drawing stays. */
(function () {
  "use strict";
  var own = document.currentScript;
  var base = own.src.slice(0, own.src.lastIndexOf("/") + 1);
  var small = window.matchMedia("(max-width: 760px)");
  var library = null;

  function load() {
    library = library || new Promise(function (resolve, reject) {
      var script = document.createElement("script");
      script.src = base + "plotly.min.js";
      script.onload = function () { resolve(window.Plotly); };
      script.onerror = function () { library = null; reject(new Error("chart library")); };
      document.head.appendChild(script);
    });
    return library;
  }

  function colour(name) {
    return getComputedStyle(document.body).getPropertyValue("--" + name).trim();
  }

  /* One look for stills and live charts: colours come from the page, never from the data. */
  function dressed(figure) {
    var ink = colour("ink"), soft = colour("soft"), hairline = colour("hairline");
    var looks = {
      heard: { marker: { line: { color: ink, width: 0.8 } } },
      missed: { marker: { color: soft } },
      "missed-placed": { marker: { color: soft } },
      "other-station": { marker: { color: colour("deep") } },
      track: { line: { color: soft, width: 1.2 } },
      ring: { line: { color: hairline, width: 1 } },
      area: { line: { color: hairline, width: 1 }, fill: "toself", fillcolor: colour("ground-land") },
      "scale-bar": { line: { color: ink, width: 2 }, textfont: { color: soft, size: 12 } },
      photo: { marker: { color: colour("card"), line: { color: colour("deep"), width: 1.2 } }, textfont: { color: colour("deep"), size: 11 } },
      station: { marker: { color: colour("station"), size: 18 }, textfont: { color: ink, size: 13 } },
      "station-other": { marker: { color: soft, size: 14 }, textfont: { color: soft, size: 12 } }
    };
    var data = figure.data.map(function (trace) {
      var look = looks[trace.meta] || {};
      var copy = Object.assign({}, trace);
      ["marker", "line", "textfont"].forEach(function (part) {
        if (look[part]) { copy[part] = Object.assign({}, copy[part], look[part]); }
      });
      if (look.fill) { copy.fill = look.fill; copy.fillcolor = look.fillcolor; }
      if (trace.meta === "heard" && !(trace.marker && trace.marker.color)) {
        copy.marker = Object.assign({}, copy.marker, { color: colour("deep") });
      }
      return copy;
    });
    var layout = Object.assign({}, figure.layout, {
      font: { family: getComputedStyle(document.body).fontFamily, size: 13, color: ink },
      hoverlabel: { bgcolor: colour("card"), bordercolor: hairline, font: { color: ink, size: 13 } }
    });
    ["xaxis", "yaxis"].forEach(function (axis) {
      layout[axis] = Object.assign({ gridcolor: hairline, linecolor: soft, tickcolor: soft }, layout[axis]);
    });
    return { data: data, layout: layout, config: figure.config };
  }

  function draw(chart) {
    if (chart.dataset.state) { return; }
    chart.dataset.state = "loading";
    load().then(function (Plotly) {
      var live = chart.querySelector(".chart-live");
      var still = chart.querySelector(".chart-still");
      var figure = JSON.parse(chart.querySelector(".chart-data").textContent);
      var shown = Array.prototype.find.call(still.children, function (item) { return item.getClientRects().length; });
      var height = Math.max(300, Math.round(shown ? shown.getBoundingClientRect().height : 400));
      live.style.height = height + "px";
      live.hidden = false;
      var plot = dressed(figure);
      if (small.matches && !chart.classList.contains("chart-map")) { plot.layout.margin = { l: 50, r: 8, t: 10, b: 46 }; }
      return Plotly.newPlot(live, plot.data, plot.layout, plot.config).then(function () {
        still.hidden = true;
        chart.dataset.state = "live";
        chart.querySelector(".chart-open").hidden = true;
      });
    }).catch(function () {
      chart.querySelector(".chart-live").hidden = true;
      chart.querySelector(".chart-still").hidden = false;
      delete chart.dataset.state;
    });
  }

  function redress() {
    document.querySelectorAll('.chart[data-state="live"]').forEach(function (chart) {
      var plot = dressed(JSON.parse(chart.querySelector(".chart-data").textContent));
      window.Plotly.react(chart.querySelector(".chart-live"), plot.data, plot.layout, plot.config);
    });
  }

  function show(isStill) {
    document.querySelectorAll('.chart[data-state="live"]').forEach(function (chart) {
      chart.querySelector(".chart-still").hidden = !isStill;
      chart.querySelector(".chart-live").hidden = isStill;
    });
  }

  function start() {
    var charts = document.querySelectorAll(".chart");
    if (!charts.length) { return; }
    charts.forEach(function (chart) {
      var button = chart.querySelector(".chart-open");
      button.hidden = false;
      button.addEventListener("click", function () { draw(chart); });
    });
    var saves = navigator.connection && navigator.connection.saveData;
    if (!small.matches && !saves && "IntersectionObserver" in window) {
      var idle = window.requestIdleCallback || function (run) { setTimeout(run, 200); };
      var watcher = new IntersectionObserver(function (entries) {
        entries.forEach(function (entry) {
          if (entry.isIntersecting) {
            watcher.unobserve(entry.target);
            idle(function () { draw(entry.target); });
          }
        });
      }, { rootMargin: "200px" });
      charts.forEach(function (chart) { watcher.observe(chart); });
    }
    new MutationObserver(redress).observe(document.body, { attributes: true, attributeFilter: ["data-md-color-scheme"] });
    window.addEventListener("beforeprint", function () { show(true); });
    window.addEventListener("afterprint", function () { show(false); });
  }

  if (document.readyState === "loading") { document.addEventListener("DOMContentLoaded", start); } else { start(); }
})();
