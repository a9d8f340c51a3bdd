/* Search without a server. From a folder (file://) browsers refuse to start a worker, so the
   search script runs in a hidden frame instead, behind an object that can do what the theme asks
   of a worker: take messages, give messages, stop. From a server a real worker does the job. */
(function () {
  "use strict";

  if (location.protocol !== "file:") return;

  /* Runs scripts one after another in a document; resolves when the last one ran. */
  function runScripts(doc, addresses) {
    return addresses.reduce(function (before, address) {
      return before.then(function () {
        return new Promise(function (resolve, reject) {
          var script = doc.createElement("script");
          script.onload = resolve;
          script.onerror = function () { reject(new Error("could not load " + address)); };
          script.src = address;
          doc.head.append(script);
        });
      });
    }, Promise.resolve());
  }

  class FrameWorker extends EventTarget {
    constructor(address) {
      super();
      this.onmessage = null;
      this.onerror = null;
      this.frame = document.createElement("iframe");
      this.frame.hidden = true;
      this.frame.setAttribute("aria-hidden", "true");
      document.body.append(this.frame);
      this.inner = this.frame.contentWindow;
      this.offer();
      /* An empty frame has no address of its own, so addresses are made whole out here. */
      this.address = new URL(address, document.baseURI).href;
      this.ready = null;
    }

    /* The script is loaded for the first message: most readers never search. */
    start() {
      if (this.ready) return;
      this.ready = runScripts(this.inner.document, [this.address]);
      this.ready.catch(this.fail.bind(this));
    }

    /* Gives the script inside the two functions that a worker has and a window has differently. */
    offer() {
      var outer = this, inner = this.inner;
      inner.postMessage = function (data) { outer.tell("message", { data: data }); };
      inner.importScripts = function () {
        return runScripts(inner.document, Array.from(arguments));
      };
    }

    /* Messages sent before the script has run wait for it, in order. */
    postMessage(data) {
      var inner = this.inner;
      this.start();
      this.ready.then(function () {
        inner.dispatchEvent(new inner.MessageEvent("message", { data: data }));
      }, function () { /* told already */ });
    }

    terminate() {
      this.frame.remove();
    }

    fail(error) {
      this.tell("error", { data: error });
    }

    tell(kind, details) {
      var event = new MessageEvent(kind, details), handler = this["on" + kind];
      if (typeof handler === "function") handler.call(this, event);
      this.dispatchEvent(event);
    }
  }

  window.Worker = FrameWorker;
  /* By this name the theme's search script knows that it runs in a frame, and where it lies. */
  window.IFrameWorker = FrameWorker;
})();
