// In a price list, Enter and the arrow keys go down and up in a column; after the last row Enter goes to Save.
document.addEventListener("keydown", (event) => {
  const cell = event.target.closest("[data-price-list] input[data-column]");
  const step = { Enter: 1, ArrowDown: 1, ArrowUp: -1 }[event.key];
  if (!cell || !step || event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
  event.preventDefault();
  const column = `input[data-column="${cell.dataset.column}"]`;
  const cells = [...cell.closest("[data-price-list]").querySelectorAll(column)];
  const next = cells[cells.indexOf(cell) + (event.shiftKey ? -step : step)];
  if (next) {
    next.focus();
    next.select();
  } else if (event.key === "Enter" && !event.shiftKey) {
    document.getElementById("save-prices").focus();
  }
});
