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
  document.addEventListener("htmx:config:request", ({ detail: { ctx } }) => {
    const form = ctx.sourceElement.closest?.("#ticket :is(form, .safe-answer)");
    if (form) ctx.ticketTap = { id: document.activeElement?.id, isCount: form.matches(".stepper") };
  });
  document.addEventListener("htmx:after:swap", ({ detail: { ctx } }) => {
    if (!ctx?.ticketTap) return;
    const field = document.querySelector("#ticket .stepper input[inputmode]");
    if (field && ctx.ticketTap.isCount && ctx.response?.status === 200) field.value = "";
    restoreFocus(ctx.ticketTap.id);
  });

  // A tap that is no longer on the page hands its focus to what comes next: the taps, or once all is filled, the next
  // job.
  const restoreFocus = (pressed) => {
    if (document.activeElement && document.activeElement !== document.body) return;
    const again = pressed && document.getElementById(pressed);
    const next = again || document.querySelector("#tap-start, #tap-plus-1, #tap-finish, #next-job");
    next?.focus({ preventScroll: true });
  };
})();
