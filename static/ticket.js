// The ticket: the stepper beside the taps, and where the focus goes after a tap.
(() => {
  "use strict";
  document.addEventListener("click", ({ target }) => {
    const button = target.closest("[data-step]");
    if (!button || button.type !== "button") return;
    const field = button.closest("form").querySelector("input[inputmode]");
    const most = Number(document.querySelector("#ticket").dataset.left);
    const next = (parseInt(field.value, 10) || 0) + Number(button.dataset.step);
    field.value = Math.min(Math.max(next, 1), most);
  });

  // What was counted is typed no more. What somebody typed stays when another tablet counts.
  let pressed = "";
  document.addEventListener("htmx:config:request", (event) => {
    const form = event.detail.ctx.sourceElement.closest?.("#ticket form");
    if (form) pressed = document.activeElement?.id ?? "";
  });
  document.addEventListener("htmx:after:swap", (event) => {
    const { ctx } = event.detail;
    if (!ctx?.sourceElement?.matches?.("#ticket form, #ticket form *")) return;
    if (ctx.sourceElement.matches(".stepper") && ctx.response?.status === 200) {
      const field = document.querySelector("#ticket .stepper input[inputmode]");
      if (field) field.value = "";
    }
    restoreFocus();
  });

  // A tap that is no longer on the page hands its focus to what comes next: the taps, or once all is filled, the next
  // job.
  const restoreFocus = () => {
    if (document.activeElement && document.activeElement !== document.body) return;
    const again = pressed && document.getElementById(pressed);
    const next = again || document.querySelector("#tap-start, #tap-plus-1, #tap-finish, #next-job");
    next?.focus({ preventScroll: true });
  };
})();
