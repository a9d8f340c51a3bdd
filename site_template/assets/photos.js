/* Photos open large over the page. Without this script their links lead to the pictures. */
(function () {
  "use strict";

  var viewer = document.querySelector("dialog.viewer");
  var links = Array.from(document.querySelectorAll(".photo-card a.photo-frame"));
  if (!viewer || !viewer.showModal || !links.length) return;

  var frame = viewer.querySelector(".viewer-picture");
  var title = viewer.querySelector(".viewer-title");
  var facts = viewer.querySelector(".viewer-facts");
  var alone = viewer.querySelector(".viewer-alone");
  var shown = -1;
  var opener = null;

  /* The picture is made when it is asked for: nothing is loaded ahead. */
  function picture(link) {
    var small = link.querySelector("img");
    var large = document.createElement("img");
    large.width = Number(small.getAttribute("width"));
    large.height = Number(small.getAttribute("height"));
    large.alt = small.alt;
    large.src = link.href;
    return large;
  }

  function show(index) {
    shown = (index + links.length) % links.length;
    var link = links[shown];
    var card = link.closest(".photo-card");
    var large = picture(link);
    var strip = card.querySelector("svg.strip");
    frame.style.setProperty("--ratio", String(large.width / large.height));
    frame.replaceChildren.apply(frame, strip ? [strip.cloneNode(true), large] : [large]);
    title.replaceChildren.apply(title, Array.from(
      card.querySelector(".photo-title").childNodes, function (node) { return node.cloneNode(true); }
    ));
    facts.textContent = link.dataset.facts || "";
    alone.href = link.href;
  }

  function open(event) {
    /* With a modifier key, or another button, the link is a link: a new tab, a download. */
    if (event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey) return;
    event.preventDefault();
    opener = event.currentTarget;
    show(links.indexOf(opener));
    viewer.showModal();
  }

  links.forEach(function (link) {
    link.setAttribute("aria-haspopup", "dialog");
    link.addEventListener("click", open);
  });

  viewer.querySelectorAll("[data-step]").forEach(function (button) {
    button.hidden = links.length < 2;
    button.addEventListener("click", function () { show(shown + Number(button.dataset.step)); });
  });
  viewer.querySelector(".viewer-close").addEventListener("click", function () { viewer.close(); });

  viewer.addEventListener("keydown", function (event) {
    var step = { ArrowRight: 1, ArrowLeft: -1 }[event.key];
    if (!step || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    show(shown + step);
  });

  /* What lies around the content is the dialog itself. */
  viewer.addEventListener("click", function (event) {
    if (event.target === viewer) viewer.close();
  });

  viewer.addEventListener("close", function () {
    frame.replaceChildren();
    if (opener) opener.focus();
  });
})();
