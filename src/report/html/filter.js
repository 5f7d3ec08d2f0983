"use strict";
(() => {
  const box = document.getElementById("filter-box");
  const input = document.getElementById("filter");
  const count = document.getElementById("filter-count");
  const rows = Array.from(document.querySelectorAll("tr.build"));
  const texts = rows.map((row) => row.textContent.toLowerCase());
  const show = () => {
    const words = input.value.toLowerCase().split(/\s+/).filter(Boolean);
    let shown = 0;
    rows.forEach((row, number) => {
      const fits = words.every((word) => texts[number].includes(word));
      row.hidden = !fits;
      shown += fits ? 1 : 0;
    });
    count.textContent = words.length ? `${shown} of ${rows.length}` : "";
  };
  input.addEventListener("input", show);
  box.hidden = false;
  show();
})();
