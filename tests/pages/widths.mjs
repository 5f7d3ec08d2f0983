// Whether anything on a page runs into anything else at a width of the screen: what stands in a cell or a box stays in it.

// Widths from a small phone's to a wide desk's, by tens.
export const EVERY_WIDTH = Array.from({ length: 129 }, (_, number) => 320 + 10 * number);

// What runs out of its cell now, in words; run in the page.
function runsOut() {
  const said = [];
  const slack = 1.5;
  if (document.documentElement.scrollWidth > innerWidth) said.push(`the page is ${document.documentElement.scrollWidth} wide`);
  for (const cell of document.querySelectorAll("td, th, dt, dd, li, .verdict, figcaption")) {
    const own = cell.getBoundingClientRect();
    // A heading that only a reader of the page aloud meets is cut to a point.
    if (own.width === 0 || own.height <= 1 || cell.closest("thead, .unseen")?.getBoundingClientRect().height <= 1) continue;
    const range = document.createRange();
    range.selectNodeContents(cell);
    for (const rect of [...range.getClientRects(), ...[...cell.querySelectorAll("svg.bar")].map((bar) => bar.getBoundingClientRect())]) {
      if (rect.width > 0 && (rect.right > own.right + slack || rect.left < own.left - slack)) {
        said.push(`${cell.className || cell.tagName} ${cell.textContent.trim().slice(0, 40)}: ${Math.round(rect.right - own.right)} past its edge`);
        break;
      }
    }
    if (said.length > 4) break;
  }
  return said;
}

// At each width what runs out, with the width; nothing where all is well.
export async function tooTight(tab) {
  const found = [];
  for (const width of EVERY_WIDTH) {
    await tab.setViewportSize({ width, height: 900 });
    const said = await tab.evaluate(runsOut);
    if (said.length > 0) found.push(`${width}: ${said.join("; ")}`);
  }
  return found;
}
