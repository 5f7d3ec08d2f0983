// Opens the pages at the bench as a browser gets them: with their policy, narrow and wide, light and dark, by keyboard.
// Told a folder with answers and a list of them, it says on standard output what was looked at, and ends with 1 where something
// is wrong.

import { readFileSync } from "node:fs";
import { createServer } from "node:http";
import { createRequire } from "node:module";
import { chromium } from "playwright-core";

const [folder, browserPath, shots] = process.argv.slice(2);
const answers = JSON.parse(readFileSync(`${folder}/answers.json`, "utf8"));
const axe = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

// A phone and a desk's screen, in CSS pixels.
const WIDTHS = { phone: 390, desk: 1280 };
// WCAG 2.2, 2.5.5: the least size of what is touched, in CSS pixels; and 1.4.6: the contrast of text.
const TARGET = 44;
const AAA = 7;
const POLICY = "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'";

let passed = 0;
const failed = [];
const check = (holds, what) => {
  if (holds) passed += 1;
  else failed.push(what);
};

const byTarget = new Map(answers.map((one) => [one.target, one]));
const server = createServer((request, response) => {
  const one = byTarget.get(request.url);
  if (!one) {
    response.writeHead(404, { "content-type": "text/plain" });
    response.end("not in the list");
    return;
  }
  response.writeHead(one.status, { "content-type": one.type, "content-security-policy": POLICY });
  response.end(readFileSync(`${folder}/${one.file}`));
});
await new Promise((listening) => server.listen(0, "127.0.0.1", listening));
const origin = `http://127.0.0.1:${server.address().port}`;
const browser = await chromium.launch({ executablePath: browserPath, args: ["--no-sandbox", "--disable-gpu"] });

// Boxes of what is touched that are too small; a link within a sentence may be as high as its line (2.5.5, inline).
const small = (least) => {
  const touched = document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary, label:has(input)");
  return [...touched].filter((one) => {
    const box = one.getBoundingClientRect();
    const style = getComputedStyle(one);
    if (box.width === 0 || style.visibility === "hidden" || one.closest("details:not([open]) > :not(summary)")) return false;
    // What is chosen in a label is touched by it.
    if (one.matches("input[type=radio], input[type=checkbox]") && one.closest("label")) return false;
    if (one.matches("p a, dd a, li p a") && style.display === "inline") return false;
    if (one.matches(".skip")) return false;
    return box.width < least - 0.01 || box.height < least - 0.01;
  }).map((one) => `${one.outerHTML.slice(0, 120)} ${Math.round(one.getBoundingClientRect().width)}x${Math.round(one.getBoundingClientRect().height)}`);
};

// The lowest contrast of the words that are grades, against the first background that is not clear (WCAG 2.2, relative luminance).
const grades = () => {
  const channels = (colour) => colour.match(/[\d.]+/g).map(Number);
  const luminance = (colour) => {
    const [red, green, blue] = channels(colour).slice(0, 3).map((value) => {
      const share = value / 255;
      return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
    });
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
  };
  const behind = (element) => {
    for (let at = element; at; at = at.parentElement) {
      const colour = getComputedStyle(at).backgroundColor;
      if (channels(colour)[3] !== 0) return colour;
    }
    return "rgb(255, 255, 255)";
  };
  const ratios = [...document.querySelectorAll(".word")].map((word) => {
    const [one, other] = [luminance(getComputedStyle(word).color), luminance(behind(word))];
    return (Math.max(one, other) + 0.05) / (Math.min(one, other) + 0.05);
  });
  return ratios.length === 0 ? null : Math.min(...ratios);
};

for (const page of answers.filter((one) => one.name)) {
  // Each width and each scheme once: what is too wide does not depend on the scheme, nor a contrast on the width.
  for (const [screen, colorScheme] of [["phone", "dark"], ["desk", "light"]]) {
    const width = WIDTHS[screen];
    const where = `${page.name}, ${screen}, ${colorScheme}`;
    // The page as its policy lets it be: what is blocked is said.
    const context = await browser.newContext({ viewport: { width, height: 900 }, colorScheme });
    const tab = await context.newPage();
    const said = [];
    tab.on("console", (message) => said.push(message.text()));
    tab.on("pageerror", (error) => said.push(String(error)));
    tab.on("dialog", (dialog) => { said.push(`dialog: ${dialog.message()}`); dialog.dismiss(); });
    await tab.goto(origin + page.target);
    const blocked = said.filter((text) => !(page.status !== 200 && text.includes(`status of ${page.status}`)));
    check(blocked.length === 0, `${where}: said ${blocked.join(" | ")}`);
    await tab.evaluate(() => document.querySelectorAll("details").forEach((one) => { one.open = true; }));
    const wide = await tab.evaluate(() => document.documentElement.scrollWidth);
    check(wide <= width, `${where}: ${wide} wide`);
    const background = await tab.evaluate(() => getComputedStyle(document.body).backgroundColor);
    const [red] = background.match(/\d+/).map(Number);
    check(colorScheme === "dark" ? red < 64 : red > 192, `${where}: the page is ${background}`);
    const tooSmall = await tab.evaluate(small, TARGET);
    check(tooSmall.length === 0, `${where}: too small to touch: ${tooSmall.slice(0, 5).join(" | ")}`);
    const contrast = await tab.evaluate(grades);
    if (contrast !== null) check(contrast >= AAA, `${where}: grades at ${contrast.toFixed(2)} to 1`);
    if (shots) await tab.screenshot({ path: `${shots}/${page.name}-${screen}-${colorScheme}.png`, fullPage: true });
    await tab.evaluate(axe);
    const found = await tab.evaluate(() => axe.run(document, { resultTypes: ["violations"], rules: { "target-size": { enabled: true } } }));
    // Everything that is touched is reached by a key, the way past the links first.
    if (screen === "desk" && colorScheme === "light" && page.keys) {
      await tab.goto(origin + page.target);
      await tab.keyboard.press("Tab");
      const first = await tab.evaluate(() => document.activeElement.className);
      check(first === "skip", `${where}: the first key leads to ${first}`);
      await tab.keyboard.press("Enter");
      const main = await tab.evaluate(() => document.activeElement.id);
      check(main === "main", `${where}: past the links is ${main}`);
      const reached = new Set();
      for (let count = 0; count < 400; count += 1) {
        await tab.keyboard.press("Tab");
        const at = await tab.evaluate(() => {
          const one = document.activeElement;
          if (one === document.body) return null;
          return { at: [...document.querySelectorAll("*")].indexOf(one), outline: getComputedStyle(one).outlineStyle };
        });
        if (at === null || reached.has(at.at)) break;
        reached.add(at.at);
        check(at.outline !== "none", `${where}: nobody sees where the key has led`);
      }
      check(reached.size > 0, `${where}: no key leads anywhere`);
    }
    const words = found.violations.map((one) => `${one.id}: ${one.nodes.slice(0, 3).map((node) => `${node.html.slice(0, 160)} ${node.failureSummary}`).join(" | ")}`);
    check(words.length === 0, `${where}: ${words.join("\n    ")}`);
    check(found.passes.length > 5, `${where}: hardly anything was looked at`);
    await context.close();
  }
}
await browser.close();
server.close();
for (const what of failed) console.log(`failed: ${what}`);
console.log(`${passed} passed, ${failed.length} failed`);
process.exitCode = failed.length > 0 || passed === 0 ? 1 : 0;
