// The list of callers below name and phone: arrow keys go through it, Escape closes it.
(() => {
  "use strict";
  const list = () => document.getElementById("callers");
  const entries = () => [...(list()?.querySelectorAll("button") ?? [])];
  let field = "customer";

  const close = () => {
    list().replaceChildren();
    document.getElementById(field)?.dispatchEvent(new Event("htmx:abort"));
  };

  const step = (down) => {
    const all = entries();
    const next = all.indexOf(document.activeElement) + (down ? 1 : -1);
    if (next < 0) document.getElementById(field)?.focus();
    else all[Math.min(next, all.length - 1)]?.focus();
  };

  // A whole phone number that one customer has: Enter takes that customer.
  const isWholePhone = (target) => {
    const digits = target.value?.replace(/\D/g, "").slice(-7) ?? "";
    const [first, ...others] = entries();
    return target.matches("#phone") && digits.length === 7 && !others.length
      && first.querySelector("span").textContent.replace(/\D/g, "").includes(digits);
  };

  document.addEventListener("focusin", ({ target }) => {
    if (!target.matches("#customer, #phone") || target.id === field) return;
    close();  // what the other field found
    field = target.id;
  });

  document.addEventListener("keydown", (event) => {
    if (!event.target.closest?.("#calling") || !entries().length) return;
    if (event.key === "ArrowDown" || event.key === "ArrowUp") {
      if (event.key === "ArrowUp" && event.target.matches("input")) return;
      event.preventDefault();
      step(event.key === "ArrowDown");
    } else if (event.key === "Enter" && isWholePhone(event.target)) {
      event.preventDefault();
      entries()[0].click();
    } else if (event.key === "Escape") {
      event.preventDefault();
      close();
      document.getElementById(field)?.focus();
    }
  });

  // Some browsers give no focus to a button that is pressed: the list would close before the press arrives.
  document.addEventListener("mousedown", (event) => {
    if (event.target.closest("#callers")) event.preventDefault();
  });

  // A field in hand keeps what stands in it when the form comes back: these presses are there to fill it in.
  document.addEventListener("htmx:before:request", (event) => {
    const { ctx } = event.detail;
    const asks = ctx.sourceElement.matches("#customer, #phone");
    if (asks && ctx.sourceElement.id !== field) event.preventDefault();  // the other field is in hand by now
    if (ctx.sourceElement.matches("#callers button, #regular button")) ctx.sourceElement.focus();
  });

  // Tab goes on to the next field; with this script there, the arrows go through the list.
  document.addEventListener("htmx:after:swap", () => {
    for (const entry of entries()) entry.tabIndex = -1;
  });
})();
