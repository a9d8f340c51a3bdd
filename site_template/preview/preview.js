// Added by the preview's server to the pages it serves; no built site carries it.
// Asks for the state of the site, loads the page anew once it was rebuilt, shows what stops it.
(() => {
  "use strict";
  const every_ms = 500;
  const script = document.currentScript;
  let known = null;
  let box = null;

  function show(message) {
    if (!message) {
      if (box) box.remove();
      box = null;
      return;
    }
    if (!box) {
      box = document.createElement("pre");
      box.setAttribute("role", "status");
      Object.assign(box.style, {
        position: "fixed", insetInline: "0", bottom: "0", margin: "0", padding: "0.75rem 1rem",
        maxHeight: "40vh", overflow: "auto", whiteSpace: "pre-wrap", zIndex: "2147483647",
        background: "#3a1c00", color: "#fff", font: "14px/1.4 monospace",
      });
      document.body.append(box);
    }
    if (box.textContent !== message) box.textContent = message;
  }

  async function look() {
    try {
      const answer = await fetch(new URL("state.json", script.src), { cache: "no-store" });
      const state = await answer.json();
      if (known !== null && state.build !== known) {
        location.reload();
        return;
      }
      known = state.build;
      show(state.message);
    } catch {
      show("The preview has ended.");
    }
    setTimeout(look, every_ms);
  }

  look();
})();
