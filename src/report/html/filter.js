"use strict";
(() => {
  const MOST = 100;
  const at = (id) => document.getElementById(id);
  const table = document.querySelector("table.builds");
  if (!table) return;
  const body = table.tBodies[0];
  const rows = Array.from(body.rows, (row, place) => {
    const cells = Array.from(row.cells, (cell) => cell.textContent);
    return { row, place, cells, text: cells.join(" ").toLowerCase(), grade: cells[1].trim(), day: cells[2].trim(), generation: cells[3].trim() };
  });
  let order = rows;
  let page = 0;
  let by = null;
  const wanted = () => at("filter").value.toLowerCase().split(/\s+/).filter(Boolean);
  const fitting = (words) => {
    const [grade, generation, from, to] = ["of-grade", "of-generation", "from-day", "to-day"].map((id) => at(id).value);
    return order.filter((one) =>
      words.every((word) => one.text.includes(word)) && (!grade || one.grade === grade) && (!generation || one.generation === generation)
      && (!from || (one.day >= from && one.day !== "\u2013")) && (!to || one.day <= to));
  };
  // Loose parts stand in a table of their own, which only words narrow.
  const parts = Array.from(document.querySelectorAll("table.builds")).slice(1).flatMap((other) => Array.from(other.tBodies[0].rows));
  const show = () => {
    const words = wanted();
    parts.forEach((row) => { row.hidden = !words.every((word) => row.textContent.toLowerCase().includes(word)); });
    const some = fitting(words);
    const pages = Math.max(1, Math.ceil(some.length / MOST));
    page = Math.min(page, pages - 1);
    rows.forEach((one) => { one.row.hidden = true; });
    some.slice(page * MOST, (page + 1) * MOST).forEach((one) => { one.row.hidden = false; });
    at("filter-count").textContent = some.length < rows.length ? `${some.length} of ${rows.length}` : "";
    at("page-count").textContent = `${page + 1} of ${pages}`;
    at("page-before").disabled = page === 0;
    at("page-after").disabled = page === pages - 1;
    at("pages").hidden = pages === 1;
  };
  const again = () => { page = 0; show(); };
  ["filter", "of-grade", "of-generation", "from-day", "to-day"].forEach((id) => at(id).addEventListener("input", again));
  at("page-before").addEventListener("click", () => { page -= 1; show(); });
  at("page-after").addEventListener("click", () => { page += 1; show(); });
  // A heading sorts by its column, then the other way round, then not at all: builds stand as they were found.
  const heads = Array.from(table.tHead.rows[0].cells).slice(0, 4);
  const grades = Array.from(at("of-grade").options, (option) => option.value || option.text);
  // On a phone the headings are cut away: nothing there could be pressed.
  if (!matchMedia("(max-width:46rem)").matches) heads.forEach((head, column) => {
    const button = document.createElement("button");
    button.type = "button";
    button.append(...head.childNodes);
    head.append(button);
    button.addEventListener("click", () => {
      by = by && by.column === column ? (by.down ? null : { column, down: true }) : { column, down: false };
      heads.forEach((other) => other.removeAttribute("aria-sort"));
      if (by) head.setAttribute("aria-sort", by.down ? "descending" : "ascending");
      const key = (one) => column === 1 ? grades.indexOf(one.grade) : one.cells[column].trim();
      const compared = (one, other) => column === 1 ? key(one) - key(other) : key(one).localeCompare(key(other), "en", { numeric: true });
      order = by ? [...rows].sort((one, other) => (by.down ? compared(other, one) : compared(one, other)) || one.place - other.place) : rows;
      body.append(...order.map((one) => one.row));
      again();
    });
  });
  at("filter-box").hidden = false;
  show();
})();
