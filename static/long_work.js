// When long work has ended, the page goes on by itself: once, by the button that is there without a script too.
(() => {
  "use strict";
  let went = false;
  const goOn = () => {
    const next = document.querySelector("#long-work [data-goes-on]");
    if (!next || went) return;
    went = true;
    next.click();
  };
  goOn();
  document.addEventListener("htmx:after:swap", goOn);
})();
