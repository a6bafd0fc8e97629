// Small helpers around htmx. Every page works without them.
(() => {
  "use strict";
  const SAME_PRESS_MS = 600;
  let lastPress = -Infinity;
  let lastHeard = new Date();
  // Presses that got no answer, each with its key: pressed again they go out under the same key and count once.
  const unanswered = new Map();

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

  const pressOf = ({ action, body }) =>
    [action, ...["act", "colour", "count", "step"].map((name) => body.get(name))].join("|");

  document.addEventListener("htmx:config:request", (event) => {
    const { ctx } = event.detail;
    const token = document.querySelector("meta[name=csrf-token]");
    if (token) ctx.request.headers["X-CSRFToken"] = token.content;
    if (!ctx.request.body?.get?.("client_key")) return;
    ctx.press = pressOf(ctx.request);
    if (unanswered.has(ctx.press)) ctx.request.body.set("client_key", unanswered.get(ctx.press));
    ctx.key = ctx.request.body.get("client_key");
  });

  // What the page shows as counted needs no second press.
  const forgetCounted = () => {
    const counted = document.querySelector("[data-counted]")?.dataset.counted.split(" ") ?? [];
    for (const [press, key] of unanswered) if (counted.includes(key)) unanswered.delete(press);
  };

  const clock = (date) => date.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", second: "2-digit" });

  const say = (text, lost) => {
    const line = document.getElementById("heard");
    if (!line) return;
    line.textContent = text;
    line.classList.toggle("heard-lost", lost);
  };

  const heard = () => {
    lastHeard = new Date();
    say("", false);
    if (document.querySelector("[data-version]")) say(`Last heard from the shop's server at ${clock(lastHeard)}.`, false);
  };

  document.addEventListener("htmx:after:request", (event) => {
    unanswered.delete(event.detail.ctx.press);
    heard();
  });
  document.addEventListener("htmx:after:swap", forgetCounted);
  document.addEventListener("htmx:error", (event) => {
    const { press, key } = event.detail.ctx ?? {};
    if (press) unanswered.set(press, key);
    const missing = unanswered.size ? " Your last tap may be missing: press it again, it counts once." : "";
    say(`No answer since ${clock(lastHeard)}: this is how things stood then.${missing}`, true);
  });
  document.addEventListener("htmx:response:error", (event) => {
    const { response, text } = event.detail.ctx;
    if (response.headers.get("Content-Type")?.startsWith("text/plain")) say(text, true);
  });
  document.addEventListener("DOMContentLoaded", heard);
})();
