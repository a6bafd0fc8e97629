// A step of the first day: the focus goes to its first field, and what is typed stays there when somebody goes on with
// “Later” or back, until it is saved.
(() => {
  "use strict";
  const guide = document.querySelector("[data-guide]");
  const main = document.getElementById("main");
  if (!guide || !main) return;
  const slot = `guide-${guide.dataset.guide}`;
  const isTyped = "input:not([type=hidden], [type=file], [type=submit]), select, textarea";
  const isBox = (field) => ["checkbox", "radio"].includes(field.type);
  const fields = () => [...main.querySelectorAll(`form[method=post] :is(${isTyped})`)].filter((field) => field.name);
  const nameOf = (field) => (isBox(field) ? `${field.name}=${field.value}` : field.name);
  const valueOf = (field) => (isBox(field) ? field.checked : field.value);
  const isDrawn = (field) => (isBox(field)
    ? field.checked === field.defaultChecked
    : field.tagName === "SELECT"
      ? [...field.options].every((one) => one.selected === one.defaultSelected)
      : field.value === field.defaultValue);

  const keep = (sent = null) => {
    const unsaved = fields().filter((field) => field.form !== sent && !isDrawn(field));
    const typed = unsaved.map((field) => [nameOf(field), valueOf(field)]);
    if (typed.length) sessionStorage.setItem(slot, JSON.stringify(typed));
    else sessionStorage.removeItem(slot);
  };
  const bringBack = () => {
    let typed = [];
    try { typed = JSON.parse(sessionStorage.getItem(slot) ?? "[]"); } catch { /* Nothing of ours. */ }
    const known = new Map(typed);
    for (const field of fields()) {
      if (!known.has(nameOf(field))) continue;
      if (isBox(field)) field.checked = known.get(nameOf(field));
      else field.value = known.get(nameOf(field));
    }
  };
  // A form that was refused comes back with what was typed: that is now what its page was drawn with.
  const refused = main.querySelector("[data-wrong-fields], [data-meanwhile]");
  const keepAll = () => {
    const all = fields().map((field) => [nameOf(field), valueOf(field)]);
    sessionStorage.setItem(slot, JSON.stringify(all));
  };
  document.addEventListener("htmx:after:swap", () => main.querySelector("[data-wrong-fields]") && keepAll());
  if (refused) keepAll();
  else if (!new URLSearchParams(location.search).has("starter")) bringBack();

  main.addEventListener("input", () => keep());
  main.addEventListener("change", () => keep());
  // One press is one save; what was sent is the server's to keep. What another form of the page holds stays typed.
  main.addEventListener("submit", (event) => {
    if (event.target.dataset.sent) {
      event.preventDefault();
      return;
    }
    if (!event.target.matches("[hx-post]")) event.target.dataset.sent = "y";
    keep(event.target);
  });
  window.addEventListener("pageshow", () => {
    for (const form of main.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
  });

  // After a name was added, Enter chooses it; a letter begins the next name.
  main.addEventListener("keydown", (event) => {
    if (event.key.length > 1 || event.key === " " || event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.target.matches(".names button")) main.querySelector("form.card input[name=name]")?.focus();
  });

  const first = main.querySelector("[data-starter], [data-column=price]")
    ?? main.querySelector("form[method=post] :is(input:not([type=hidden]), select, textarea, button)");
  if (first && !refused && !location.hash) {
    first.setAttribute("aria-describedby", `guide-text ${first.getAttribute("aria-describedby") ?? ""}`.trim());
    first.focus({ preventScroll: true });
    first.select?.();
  }
})();
