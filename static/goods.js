// The list of goods below a line's name or part: Enter takes the first, arrow keys go through it, Escape closes it.
// Tab takes the first too, if nothing else can be meant.
(() => {
  "use strict";
  const list = (place) => place.querySelector(".callers");
  const entries = (place) => [...list(place).querySelectorAll("button")];
  const input = (place) => place.querySelector("input");
  const plain = (text) => text.split(/\s+/).filter(Boolean).join(" ");

  const close = (place) => {
    list(place).replaceChildren();
    input(place).dispatchEvent(new Event("htmx:abort"));
    input(place).focus();
  };

  const step = (place, down) => {
    const all = entries(place);
    const next = all.indexOf(document.activeElement) + (down ? 1 : -1);
    if (next < 0) input(place).focus();
    else all[Math.min(next, all.length - 1)]?.focus();
  };

  // A list for earlier typing is not what is meant: then the shop is asked once more. What is only suggested gets
  // the focus, so that it takes a second Enter.
  const chooseFirst = (place) => {
    const { text, meant } = list(place).querySelector("[data-text]")?.dataset ?? {};
    const first = entries(place)[0];
    if (first && text === plain(input(place).value)) first[meant ? "focus" : "click"]();
    else place.querySelector(".find-goods").click();
  };

  const isCertain = (place) => {
    const { text, certain } = list(place).querySelector("[data-text]")?.dataset ?? {};
    return certain !== undefined && text === plain(input(place).value);
  };

  document.addEventListener("keydown", (event) => {
    const place = event.target.closest?.(".goods");
    if (!place || event.ctrlKey || event.altKey || event.target.matches("select")) return;
    const typing = event.target.matches("input");
    if (event.key === "ArrowDown" || (event.key === "ArrowUp" && !typing)) step(place, event.key === "ArrowDown");
    else if (event.key === "Escape" && entries(place).length) close(place);
    else if (event.key === "Tab" && !event.shiftKey && typing && isCertain(place)) entries(place)[0].click();
    else if (event.key === "Enter" && typing && plain(event.target.value)) chooseFirst(place);
    else return;
    event.preventDefault();
  });

  // Chosen from the long list: what was typed to find it is done with.
  document.addEventListener("change", ({ target }) => {
    const place = target.closest(".goods");
    if (!place || !target.matches("select")) return;
    input(place).value = "";
    list(place).replaceChildren();
  });

  // Some browsers give no focus to a button that is pressed: the list would close before the press arrives.
  document.addEventListener("mousedown", (event) => {
    if (event.target.closest(".goods .callers")) event.preventDefault();
  });

  // A field in hand keeps what stands in it when the form comes back: these presses are there to empty it.
  document.addEventListener("htmx:before:request", (event) => {
    const source = event.detail.ctx.sourceElement;
    if (source.matches(".goods .callers button")) source.focus();
    if (source.matches(".find-goods")) input(source.closest(".goods")).blur();
  });

  // What was typed to find it is done with, though the page as it was drawn had nothing there either.
  document.addEventListener("htmx:after:swap", (event) => {
    if (event.detail.ctx.sourceElement.matches("[data-live-query]")) return;
    for (const field of document.querySelectorAll(".goods input")) {
      if (field !== document.activeElement) field.value = field.getAttribute("value");
    }
  });

  // Tab goes on to the next field; with this script there, the arrows go through the list.
  document.addEventListener("htmx:after:swap", () => {
    for (const entry of document.querySelectorAll(".goods .callers button")) entry.tabIndex = -1;
  });
})();
