// After a press the focus stays with the order that was pressed, also when its button is gone.
(() => {
  "use strict";
  let pressed = null;
  document.addEventListener("htmx:before:request", (event) => {
    const source = event.detail.ctx.sourceElement;
    const card = source.closest?.("li.pickup");
    pressed = card ? { card: card.id, button: document.activeElement?.id } : pressed;
  });
  document.addEventListener("htmx:after:swap", () => {
    const lost = !document.activeElement || document.activeElement === document.body;
    if (!pressed || !lost) return;
    const card = document.getElementById(pressed.card);
    const next = document.getElementById(pressed.button) ?? card?.querySelector("[data-tap]");
    (next?.matches("details") ? next.querySelector("summary") : next)?.focus({ preventScroll: true });
    pressed = null;
  });
})();
