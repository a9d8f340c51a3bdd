/* Turns still drawings into interactive charts. The page never waits for it: on a wide screen the
   chart library is fetched when the browser is idle and a chart comes near, elsewhere on a tap.
   Whatever goes wrong, the still drawing stays. */
(function () {
  "use strict";

  var own = document.currentScript;
  var base = own.src.slice(0, own.src.lastIndexOf("/") + 1);
  var HELD = 640;  /* Narrower than this, a figure has no room for its longer labels. */
  var library = null;

  function load() {
    if (window.Plotly) return Promise.resolve(window.Plotly);
    library = library || new Promise(function (resolve, reject) {
      var script = document.createElement("script");
      script.src = base + "plotly.min.js";
      script.onload = function () { resolve(window.Plotly); };
      script.onerror = function () { library = null; reject(new Error("no chart library")); };
      document.head.appendChild(script);
    });
    return library;
  }

  function part(chart, name) { return chart.querySelector("." + name); }
  function each(list, act) { Array.prototype.forEach.call(list, act); }

  /* The data hold stand-ins for colours; the page's own take their place, light or dark. */
  function colours(palette) {
    var style = getComputedStyle(document.body);
    var table = {};
    Object.keys(palette).forEach(function (name) {
      var value = style.getPropertyValue("--" + name).trim();
      if (value) table[palette[name]] = value;
    });
    return table;
  }

  function dyed(value, table) {
    if (typeof value === "string") return Object.hasOwn(table, value) ? table[value] : value;
    if (Array.isArray(value)) return value.map(function (item) { return dyed(item, table); });
    if (!value || typeof value !== "object") return value;
    var copy = {};
    Object.keys(value).forEach(function (key) {
      copy[key] = key === "shadow" ? shadow(value[key], table) : dyed(value[key], table);
    });
    return copy;
  }

  function shadow(text, table) {
    return text.replace(/#[0-9a-f]{6}/g, function (stand_in) { return table[stand_in] || stand_in; });
  }

  /* What the reader chose, by kind; the controls are plain ones that the style sheet reads as well. */
  function choices(chart) {
    var chosen = {};
    each(chart.querySelectorAll("[data-layer]"), function (control) {
      if (control.type !== "radio" || control.checked) chosen[control.dataset.layer] = control.value;
    });
    return chosen;
  }

  function isShown(terms, chosen) {
    return Object.keys(chosen).every(function (kind) {
      return !terms[kind] || terms[kind].indexOf(chosen[kind]) >= 0;
    });
  }

  /* Squares look different as the ground shows one thing or another. */
  function markerOf(terms, chosen) { return terms.marker && terms.marker[chosen.ground]; }

  /* Only what shows changes: the view stays where the reader moved it. */
  function switchLayers(chart) {
    var figure = JSON.parse(part(chart, "chart-data").textContent);
    if (chart.dataset.state !== "live" || !figure.switches) return;
    var live = part(chart, "chart-live"), chosen = choices(chart), table = colours(figure.palette);
    var markers = [], changed = [];
    figure.switches.forEach(function (terms, index) {
      if (!markerOf(terms, chosen)) return;
      markers.push(dyed(markerOf(terms, chosen), table));
      changed.push(index);
    });
    var visible = figure.switches.map(function (terms) { return isShown(terms, chosen); });
    if (changed.length) window.Plotly.restyle(live, { marker: markers }, changed);
    window.Plotly.restyle(live, { visible: visible });
  }

  /* A map on a phone is laid out as its narrow still drawing: ground, words, and marks as small. */
  function narrowed(layout, narrow) {
    layout.xaxis.range = narrow.x;
    layout.yaxis.range = narrow.y;
    layout.annotations = narrow.annotations;
    layout.shapes = layout.shapes.slice(0, narrow.fixed).concat(narrow.shapes);
  }

  function lessened(marker, ratio) {
    if (!marker.size) return marker;
    var size = Array.isArray(marker.size)
      ? marker.size.map(function (each) { return each * ratio; }) : marker.size * ratio;
    return Object.assign({}, marker, { size: size });
  }

  function figureOf(chart) {
    var figure = JSON.parse(part(chart, "chart-data").textContent);
    var table = colours(figure.palette);
    var layout = dyed(figure.layout, table);
    layout.font.family = getComputedStyle(document.body).fontFamily;
    var isNarrow = part(chart, "chart-live").clientWidth < HELD;
    if (isNarrow) {
      layout.annotations = layout.annotations.filter(function (note) { return note.name !== "when-wide"; });
    }
    if (isNarrow && figure.narrow) narrowed(layout, dyed(figure.narrow, table));
    /* A phrase that many texts have is written once; a letter of private use stands for it. */
    function whole(text) {
      return text.replace(/[\ue000-\uf8ff]/g, function (token) {
        return (figure.phrases || [])[token.charCodeAt(0) - 0xe000] || "";
      }).replace(/\n/g, "<br>");
    }
    /* Points and texts are data; of a trace only what it looks like is dyed. */
    var data = figure.data.map(function (trace) {
      var copy = Object.assign({}, trace);
      ["marker", "line"].forEach(function (look) {
        if (trace[look]) copy[look] = dyed(trace[look], table);
      });
      if (isNarrow && figure.narrow && copy.marker) copy.marker = lessened(copy.marker, figure.narrow.marks);
      if (Array.isArray(trace.text)) copy.text = trace.text.map(whole);
      return copy;
    });
    var chosen = choices(chart);
    (figure.switches || []).forEach(function (terms, index) {
      data[index].visible = isShown(terms, chosen);
      if (markerOf(terms, chosen)) data[index].marker = dyed(markerOf(terms, chosen), table);
    });
    if (chart.dataset.tiles) layout.images = figure.tiles.concat(layout.images);
    return { data: data, layout: layout, config: figure.config };
  }

  /* The one thing a site may fetch from elsewhere, where its author named an address: only when the
     reader taps a button that says so, and from that host alone, as the page's policy has it. */
  function offerTiles(chart) {
    var offer = part(chart, "chart-tiles");
    if (!offer) return;
    offer.hidden = false;
    part(offer, "tiles-open").addEventListener("click", function () {
      chart.dataset.tiles = "asked";
      part(offer, "tiles-open").hidden = part(offer, "tiles-note").hidden = true;
      part(offer, "tiles-credit").hidden = false;
      window.Plotly.relayout(part(chart, "chart-live"), { images: figureOf(chart).layout.images });
    });
  }

  function show(chart, isLive) {
    part(chart, "chart-live").hidden = !isLive;
    part(chart, "chart-still").hidden = isLive;
  }

  function draw(chart) {
    if (chart.dataset.state) return;
    var button = part(chart, "chart-open");
    chart.dataset.state = "loading";
    button.setAttribute("aria-busy", "true");
    load().then(function (Plotly) {
      var live = part(chart, "chart-live");
      var hadFocus = document.activeElement === button;
      show(chart, true);
      var figure = figureOf(chart);
      return Plotly.newPlot(live, figure.data, figure.layout, figure.config).then(function () {
        chart.dataset.state = "live";
        switchLayers(chart);  /* The reader may have chosen while it was drawn. */
        button.hidden = true;
        /* Its buttons have names and can be reached; its drawing says nothing to a screen reader. */
        each(live.querySelectorAll("svg.main-svg"), function (svg) { svg.setAttribute("aria-hidden", "true"); });
        live.removeAttribute("aria-hidden");
        link(chart, live);
        steps(chart, live);
        offerTiles(chart);
        if (!hadFocus) return;
        live.focus({ preventScroll: true });
      });
    }).catch(function (fault) {
      console.warn("The still drawing stays:", fault);
      show(chart, false);
      button.hidden = false;
      delete chart.dataset.state;
    }).then(function () { button.removeAttribute("aria-busy"); });
  }

  /* A photo's mark leads to its card; its address was made by the report and lies within it. */
  function follow(event) {
    var point = event.points[0];
    if (point && point.data.meta === "photo") location.assign(point.customdata);
  }

  /* One frame has one identity in every drawing: pointing at it in one rings it in the others. A tap
     or click keeps the ring, until the next, one beside all charts, or the Escape key. Rings lie
     over the drawings, so that nothing is drawn again and every view stays where it is. */
  var kept = null;

  function marks(chart) {
    if (chart.marks) return chart.marks;
    chart.marks = new Map();
    part(chart, "chart-live").data.forEach(function (trace, number) {
      if (!Array.isArray(trace.customdata)) return;
      var isPhoto = trace.meta === "photo";
      trace.customdata.forEach(function (mark, index) {
        chart.marks.set(isPhoto ? anchorOf(mark) : mark, [number, index]);
      });
    });
    return chart.marks;
  }

  /* A photo's place is called like its card, with map- before it. */
  function anchorOf(href) { return "map-" + href.split("#")[1]; }

  /* The library tells nobody where a point stands on the screen; its axes know. */
  function placeOf(chart, mark) {
    var plot = part(chart, "chart-live"), found = marks(chart).get(mark);
    if (!found || plot.data[found[0]].visible === false) return null;
    var x = plot._fullLayout.xaxis, y = plot._fullLayout.yaxis, trace = plot.data[found[0]];
    var across = x.d2p(trace.x[found[1]]), down = y.d2p(trace.y[found[1]]);
    var isInside = across >= 0 && across <= x._length && down >= 0 && down <= y._length;
    return isInside ? [x._offset + across, y._offset + down] : null;
  }

  function ring(chart, mark) {
    var plot = part(chart, "chart-live"), circle = part(plot, "chart-ring");
    var place = mark && placeOf(chart, mark);
    chart.ringed = mark;
    if (circle) circle.hidden = !place;
    if (!place) return;
    if (!circle) {
      circle = document.createElement("span");
      circle.className = "chart-ring";
      plot.appendChild(circle);
    }
    circle.style.left = place[0] + "px";
    circle.style.top = place[1] + "px";
  }

  function ringElsewhere(chart, mark) {
    each(live(), function (other) { ring(other, other === chart ? null : mark); });
  }

  function keep(chart, mark) {
    kept = mark && { chart: chart, mark: mark };
    ringElsewhere(chart, mark);
  }

  function markOf(event) {
    var point = event.points[0];
    return point && typeof point.customdata === "string" && point.data.meta !== "photo"
      ? point.customdata : null;
  }

  function link(chart, plot) {
    plot.on("plotly_hover", function (event) { ringElsewhere(chart, markOf(event)); });
    plot.on("plotly_unhover", function () { ringElsewhere(kept && kept.chart, kept && kept.mark); });
    plot.on("plotly_click", function (event) {
      keep(chart, markOf(event));  /* A tap comes twice. */
      follow(event);
    });
    plot.on("plotly_relayouting", function () { ring(chart, chart.ringed); });
    plot.on("plotly_afterplot", function () { ring(chart, chart.ringed); });
    /* What was kept before this drawing was there, or is led to by the address. */
    if (!kept && marks(chart).has(target())) keep(null, target());
    else if (kept) ring(chart, kept.mark);
  }

  /* With the keyboard one mark after another shows what it says: right and left along what is
     drawn, up and down to the next kind of mark, Home and End to the first and the last. */
  var STEPS = { ArrowRight: 1, ArrowDown: 1, End: 1, ArrowLeft: -1, ArrowUp: -1, Home: -1 };

  function steppable(plot) {
    var places = [];
    plot.data.forEach(function (trace, curve) {
      if (trace.visible === false || !Array.isArray(trace.text)) return;
      trace.text.forEach(function (text, point) { places.push({ curveNumber: curve, pointNumber: point }); });
    });
    return places;
  }

  function isInView(plot, place) {
    var x = plot._fullLayout.xaxis, y = plot._fullLayout.yaxis, trace = plot.data[place.curveNumber];
    var across = x.d2p(trace.x[place.pointNumber]), down = y.d2p(trace.y[place.pointNumber]);
    return across >= 0 && across <= x._length && down >= 0 && down <= y._length;
  }

  function steps(chart, plot) {
    var said = document.createElement("p"), at = -1, mark = null;
    said.className = "chart-said";
    said.setAttribute("role", "status");
    plot.after(said);
    plot.tabIndex = 0;
    plot.setAttribute("role", "group");
    plot.setAttribute("aria-label", plot.dataset.keys);

    function go(key) {
      var way = STEPS[key], places = steppable(plot).filter(function (place) { return isInView(plot, place); });
      if (!places.length) return;
      var next = at < 0 && way < 0 ? places.length : at, from = places[at];
      if (key === "Home") next = -1;
      if (key === "End") next = places.length - 2;
      do next += way; while (from && (key === "ArrowDown" || key === "ArrowUp")
        && places[next] && places[next].curveNumber === from.curveNumber);
      at = key === "Home" ? 0 : Math.max(0, Math.min(places.length - 1, next));
      mark = places[at];
      window.Plotly.Fx.hover(plot, [mark]);
      said.textContent = plot.data[mark.curveNumber].text[mark.pointNumber].replace(/<br>/g, "; ").replace(/&#(\d+);/g, function (all, code) { return String.fromCharCode(code); });
    }

    plot.addEventListener("keydown", function (event) {
      if (event.target !== plot || event.altKey || event.ctrlKey || event.metaKey) return;
      if (event.key === "Enter" && mark) {
        var trace = plot.data[mark.curveNumber];
        if (trace.meta === "photo") location.assign(trace.customdata[mark.pointNumber]);
      }
      if (event.key === "Escape") leave();
      if (!STEPS[event.key]) return;
      event.preventDefault();
      go(event.key);
    });
    plot.addEventListener("blur", leave);
    function leave() {
      at = -1;
      mark = null;
      window.Plotly.Fx.unhover(plot);
      said.textContent = "";
    }
  }

  /* Anchors are plain names. */
  function target() { return location.hash.slice(1); }

  /* A still drawing rings the place by itself; a live one hides it and is led to here. */
  function lead() {
    each(live(), function (chart) {
      if (!marks(chart).has(target())) return;
      keep(null, target());
      part(chart, "chart-live").scrollIntoView({ block: "center" });
    });
  }

  function live() { return document.querySelectorAll('.chart[data-state="live"]'); }

  function redress() {
    each(live(), function (chart) {
      var figure = figureOf(chart);
      window.Plotly.react(part(chart, "chart-live"), figure.data, figure.layout, figure.config);
    });
  }

  function beforePrint() { each(live(), function (chart) { show(chart, false); }); }
  function afterPrint() {
    each(live(), function (chart) {
      show(chart, true);
      window.Plotly.Plots.resize(part(chart, "chart-live"));
    });
  }

  function isEager() {
    var saves = navigator.connection && navigator.connection.saveData;
    return "IntersectionObserver" in window && !saves
      && matchMedia("(min-width: 760px) and (pointer: fine)").matches
      && !matchMedia("(prefers-reduced-data: reduce)").matches;
  }

  function watch(charts) {
    var idle = window.requestIdleCallback || function (run) { setTimeout(run, 200); };
    var watcher = new IntersectionObserver(function (entries) {
      entries.forEach(function (entry) {
        if (!entry.isIntersecting) return;
        watcher.unobserve(entry.target);
        idle(function () { draw(entry.target); });
      });
    }, { rootMargin: "300px" });
    each(charts, function (chart) { watcher.observe(chart); });
  }

  function start() {
    var charts = document.querySelectorAll(".chart[data-chart]");
    if (!charts.length) return;
    var eager = isEager();
    each(charts, function (chart) {
      var button = part(chart, "chart-open");
      button.hidden = eager;
      button.addEventListener("click", function () { draw(chart); });
      chart.addEventListener("change", function () { switchLayers(chart); });
    });
    if (eager) watch(charts);
    window.addEventListener("hashchange", lead);
    document.addEventListener("click", function (event) {
      var goal = event.target.closest('a[href^="#map-"]');
      if (kept && !event.target.closest(".chart")) keep(null, null);
      if (goal && goal.hash === location.hash) lead();  /* The address stays; the reader does not. */
    });
    document.addEventListener("keydown", function (event) {
      if (event.key === "Escape") keep(null, null);
    });
    new MutationObserver(redress).observe(document.body, {
      attributes: true, attributeFilter: ["data-md-color-scheme"]
    });
    window.addEventListener("beforeprint", beforePrint);
    window.addEventListener("afterprint", afterPrint);
  }

  if (document.readyState === "loading") document.addEventListener("DOMContentLoaded", start);
  else start();
})();
