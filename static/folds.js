// A fold of the order form opens by itself when it comes to hold something or a field in it is wrong. What somebody
// closed stays closed, unless something in it is wrong.
(() => {
  "use strict";
  const closed = new Set();

  document.addEventListener("click", ({ target }) => {
    const fold = target.closest(".fold > summary")?.parentElement;
    if (fold) closed[fold.open ? "add" : "delete"](fold.id);
  });

  const openHolding = () => {
    for (const fold of document.querySelectorAll(".fold[data-opens]")) {
      if (!closed.has(fold.id) || fold.querySelector("[aria-invalid]")) fold.open = true;
    }
  };
  document.addEventListener("htmx:after:swap", (event) => {
    if (event.detail.ctx?.target?.matches?.("#order-form")) openHolding();
  });
})();
