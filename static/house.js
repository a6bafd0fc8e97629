// Small helpers around htmx. Every page works without them.
(() => {
  "use strict";
  const SAME_PRESS_MS = 600;
  let lastPress = -Infinity;
  let lastHeard = new Date();

  // A double press of a tap is one tap, even when the answer to the first is already on the page.
  document.addEventListener("click", (event) => {
    if (!event.target.closest("[data-tap]")) return;
    if (event.timeStamp - lastPress < SAME_PRESS_MS) {
      event.preventDefault();
      event.stopImmediatePropagation();
    } else {
      lastPress = event.timeStamp;
    }
  }, true);

  document.addEventListener("htmx:config:request", (event) => {
    const token = document.querySelector("meta[name=csrf-token]");
    if (token) event.detail.ctx.request.headers["X-CSRFToken"] = token.content;
  });

  const clock = (date) => date.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", second: "2-digit" });

  const say = (text, lost) => {
    const line = document.getElementById("heard");
    if (!line) return;
    line.textContent = text;
    line.classList.toggle("heard-lost", lost);
  };

  const heard = () => {
    lastHeard = new Date();
    if (document.querySelector("[data-version]")) say(`Last heard from the shop's server at ${clock(lastHeard)}.`, false);
  };

  document.addEventListener("htmx:after:request", heard);
  document.addEventListener("htmx:error", () => {
    say(`No answer since ${clock(lastHeard)}: this is how things stood then. A tap may be pressed again, it counts once.`, true);
  });
  document.addEventListener("DOMContentLoaded", heard);
})();
