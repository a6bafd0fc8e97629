// A price list is one stop for Tab. The arrow keys go from cell to cell, Enter goes down and after the last row to
// Save, Control with Home or End to the first or last cell, and Escape gives a cell back what was in it.
(() => {
  "use strict";
  const list = document.querySelector("[data-price-list]");
  if (!list) return;
  const FOCUSABLE = "a[href], input";
  const rows = [...list.rows].map((row) => [...row.cells].map((cell) => cell.querySelector(FOCUSABLE)));
  const stops = rows.flat().filter(Boolean);
  const nameRole = (selector, role) => list.querySelectorAll(selector).forEach((one) => one.setAttribute("role", role));
  list.setAttribute("role", "grid");
  nameRole("thead, tbody", "rowgroup");
  nameRole("tr", "row");
  nameRole("td", "gridcell");
  nameRole("th[scope=col]", "columnheader");
  nameRole("th[scope=row]", "rowheader");
  document.querySelector("[data-price-keys]").hidden = false;

  const setStop = (wanted) => stops.forEach((one) => { one.tabIndex = one === wanted ? 0 : -1; });
  const go = (wanted) => {
    if (!wanted) return false;
    wanted.focus();
    wanted.select?.();
    return true;
  };
  const beside = (cells, place, step) => {
    for (let at = place + step; at >= 0 && at < cells.length; at += step) if (cells[at]) return cells[at];
    return null;
  };
  const below = (cell, step) => {
    const row = rows.findIndex((cells) => cells.includes(cell));
    return beside(rows.map((cells) => cells[rows[row].indexOf(cell)]), row, step);
  };
  const along = (cell, step) => {
    const cells = rows.find((one) => one.includes(cell));
    return beside(cells, cells.indexOf(cell), step);
  };
  // Within a typed text the caret moves first; the next cell follows at its end, or when all of it is selected.
  const mayLeave = (cell, step) => {
    if (cell.selectionStart === undefined) return true;
    const all = cell.selectionEnd - cell.selectionStart === cell.value.length;
    const end = step < 0 ? 0 : cell.value.length;
    return all || (cell.selectionStart === end && cell.selectionEnd === end);
  };

  const VERTICAL = { Enter: 1, ArrowDown: 1, ArrowUp: -1 };
  const HORIZONTAL = { ArrowRight: 1, ArrowLeft: -1 };
  const onKey = (cell, event) => {
    const { key } = event;
    if (event.ctrlKey) return (key === "Home" && go(stops[0])) || (key === "End" && go(stops.at(-1)));
    if (key in HORIZONTAL) return !event.shiftKey && mayLeave(cell, HORIZONTAL[key]) && go(along(cell, HORIZONTAL[key]));
    if (key === "Escape" && cell.value !== undefined && cell.value !== cell.defaultValue) {
      cell.value = cell.defaultValue;
      return true;
    }
    if (!(key in VERTICAL) || (key === "Enter" && cell.matches("a"))) return false;
    const step = event.shiftKey && key === "Enter" ? -1 : VERTICAL[key];
    if (!go(below(cell, step)) && key === "Enter" && step > 0) document.getElementById("save-prices").focus();
    return true;
  };

  // What a blank “Treated” costs follows from the price, so that it is not said beside a price that is not saved.
  list.querySelectorAll("input[data-column=treated]").forEach((treated) => {
    const price = treated.closest("tr").querySelector("input[data-column=price]");
    const said = treated.placeholder;
    price.addEventListener("input", () => {
      treated.placeholder = price.value === price.defaultValue ? said : "";
    });
  });
  list.querySelectorAll("[aria-invalid=true]").forEach((wrong) => wrong.addEventListener("focus", () => wrong.select(), { once: true }));
  if (document.activeElement?.matches("[data-price-list] [aria-invalid=true]")) document.activeElement.select();

  setStop(list.querySelector("[aria-invalid=true]") ?? list.querySelector("input"));
  list.addEventListener("focusin", ({ target }) => stops.includes(target) && setStop(target));
  list.addEventListener("keydown", (event) => {
    const cell = event.target;
    if (!stops.includes(cell) || event.metaKey || event.altKey || event.isComposing) return;
    if (onKey(cell, event)) event.preventDefault();
  });
})();
