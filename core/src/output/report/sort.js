"use strict";
// A heading of the table sorts its rows; without this script the table stands as it is.
const table = document.querySelector("main table");
const body = table.tBodies[0];
const keyed = (row, column) => row.cells[column].dataset.key;
const compare = (a, b, sign) => {
  if (a === "" || b === "") return (a === "") - (b === "");
  const numbers = !isNaN(a) && !isNaN(b);
  return sign * (numbers ? a - b : a.localeCompare(b, "en", { numeric: true }));
};
const heads = [...table.tHead.rows[0].cells];
heads.forEach((head, column) => {
  if (body.rows.length === 0 || keyed(body.rows[0], column) === undefined) return;
  const button = document.createElement("button");
  button.type = "button";
  button.textContent = head.textContent;
  // Paper repeats the headings on each page, but not what can be pressed in them.
  const printed = document.createElement("span");
  printed.className = "printed";
  printed.textContent = head.textContent;
  printed.setAttribute("aria-hidden", "true");
  head.replaceChildren(button, printed);
  button.addEventListener("click", () => {
    const down = head.getAttribute("aria-sort") === "ascending";
    heads.forEach((other) => other.removeAttribute("aria-sort"));
    head.setAttribute("aria-sort", down ? "descending" : "ascending");
    const by = (a, b) => compare(keyed(a, column), keyed(b, column), down ? -1 : 1);
    body.append(...[...body.rows].sort(by));
  });
});
table.caption.append(" Choose a heading to sort by it.");
