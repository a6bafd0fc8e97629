// What is being typed into a new order outlives a reload, a step back and a closed tab, in this browser only.
(() => {
  "use strict";
  const SLOT = "stillaloft-draft";
  const MAX_DRAFT_AGE_MS = 12 * 60 * 60 * 1000;
  const NOT_TYPED = ["csrf_token", "fix"];

  const newOrder = () => document.querySelector("form[data-draft]");

  const read = () => {
    try {
      const kept = JSON.parse(localStorage.getItem(SLOT));
      return kept && Date.now() - kept.at < MAX_DRAFT_AGE_MS ? kept : null;
    } catch {
      return null;
    }
  };

  const saveDraft = (form) => {
    const fields = [...new FormData(form)].filter(([name]) => !NOT_TYPED.includes(name));
    localStorage.setItem(SLOT, JSON.stringify({ at: Date.now(), fields }));
  };

  const keyOf = (draft) => draft?.fields.find(([name]) => name === "client_key")?.[1];

  const isTyped = (draft) => draft.fields.some(([name, value]) => /customer|phone|-day|-hour|quantity|notes|discount/.test(name) && value);

  document.addEventListener("input", () => newOrder() && saveDraft(newOrder()));
  document.addEventListener("htmx:after:swap", () => newOrder() && saveDraft(newOrder()));

  document.addEventListener("DOMContentLoaded", () => {
    const draft = read();
    const taken = document.querySelector("[data-saved-key]")?.dataset.savedKey;
    if (taken && taken === keyOf(draft)) localStorage.removeItem(SLOT);
    const form = newOrder();
    if (!form || !draft || !isTyped(draft)) return;
    if (new URLSearchParams(location.search).has("empty")) {
      localStorage.removeItem(SLOT);
      return;
    }
    const values = { ...Object.fromEntries(draft.fields), fix: "restore" };
    htmx.ajax("POST", form.dataset.draft, { values, source: form, target: form, swap: "outerMorph" })
      .then(() => newOrder()?.dispatchEvent(new Event("change")));
  });
})();
