// A save that got no answer says so beside its button, until it is pressed again: no later answer takes its place.
(() => {
  "use strict";
  let unsaved = null;

  const isSave = ({ ctx }) => ctx?.sourceElement?.matches("#order-form")
    && ctx.request.action === ctx.sourceElement.getAttribute("action");

  const show = () => {
    const line = document.getElementById("not-saved");
    if (!line) return;
    const said = unsaved?.text ?? "";
    line.hidden = !unsaved;
    line.querySelector("[data-no-answer]").hidden = said !== "";
    line.querySelector("[data-answer]").textContent = said;
  };

  const setUnsaved = (now) => {
    unsaved = now;
    show();
  };

  // The button shows that it was pressed until the answer is there.
  const setSaving = (isSaving) => {
    const button = document.getElementById("take");
    if (!button) return;
    if (isSaving) button.setAttribute("aria-busy", "true");
    else button.removeAttribute("aria-busy");
  };
  document.addEventListener("click", (event) => {
    if (event.target.closest("#take[aria-busy]")) event.preventDefault();
  });

  document.addEventListener("htmx:before:request", ({ detail }) => {
    if (!isSave(detail)) return;
    setUnsaved(null);
    setSaving(true);
  });
  document.addEventListener("htmx:finally:request", ({ detail }) => isSave(detail) && setSaving(false));
  document.addEventListener("htmx:error", ({ detail }) => isSave(detail) && setUnsaved({}));
  document.addEventListener("htmx:response:error", ({ detail }) => {
    const { response, text } = detail.ctx;
    const isSentence = response.headers.get("Content-Type")?.startsWith("text/plain");
    if (isSave(detail) && isSentence) setUnsaved({ text });
  });
  document.addEventListener("htmx:after:swap", show);
})();
