// Prints the page. Without scripts the menu of the browser does.
(() => {
  "use strict";
  document.addEventListener("click", (event) => {
    if (event.target.closest?.("[data-print]")) window.print();
  });
})();
