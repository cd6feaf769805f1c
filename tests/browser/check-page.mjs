// Opens the report page of a split from disk in headless Chromium and does
// what a maker does. `node check-page.mjs FOLDER [SCREENSHOTS]`; exits 1 if
// anything is wrong. Accessibility by axe-core.
import { createRequire } from "node:module";
import { mkdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { resolve } from "node:path";
import { chromium } from "playwright-core";

const [folder, shots = "screenshots"] = process.argv.slice(2);
const report = JSON.parse(readFileSync(resolve(folder, "report.json"), "utf8"));
const file = resolve(folder, "report.html");
mkdirSync(shots, { recursive: true });

let passed = 0, failed = 0;
const holds = (what, so, more = "") => {
  so ? passed++ : failed++;
  console.log(`${so ? "ok  " : "FAIL"} ${what}${so ? "" : "  " + more}`);
};

const browser = await chromium.launch({
  executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"],
});
const page = await browser.newPage({ viewport: { width: 1200, height: 900 }, reducedMotion: "reduce" });
const complaints = [], asked = [];
page.on("console", (m) => m.type() === "error" && complaints.push(m.text()));
page.on("pageerror", (e) => complaints.push(String(e)));
page.on("request", (r) => !r.url().startsWith("data:") && asked.push(r.url()));
await page.goto("file://" + file);
await page.waitForTimeout(500);

holds("under 5 MB", statSync(file).size < 5e6, `${statSync(file).size} bytes`);
holds("draws in three dimensions", await page.locator("#no-view").isHidden());

// What the picture shows, found out in the page: millions of numbers are slow to
// hand over. Of a picture a hash (FNV-1a); of colours how many are there. Each
// piece's colour may be lit in any strength: the direction of the colour counts.
const canvas = page.locator("#stage");
await canvas.scrollIntoViewIfNeeded();
const drawn = (colours = []) => page.evaluate((colours) => new Promise((done) => requestAnimationFrame(() => {
  const c = document.getElementById("stage"), gl = c.getContext("webgl2");
  const data = new Uint8Array(4 * c.width * c.height);
  gl.readPixels(0, 0, c.width, c.height, gl.RGBA, gl.UNSIGNED_BYTE, data);
  let hash = 0x811c9dc5;
  for (const byte of data) hash = Math.imul(hash ^ byte, 0x01000193);
  const seen = colours.filter(([r, g, b]) => {
    const length = Math.hypot(r, g, b);
    let count = 0;
    for (let i = 0; i < data.length; i += 4) {
      const l = Math.sqrt(data[i] ** 2 + data[i + 1] ** 2 + data[i + 2] ** 2);
      if (l < 60) continue;
      const cosine = (data[i] * r + data[i + 1] * g + data[i + 2] * b) / (l * length);
      const light = l / length;
      if (cosine > 0.99985 && light > 0.4 && light < 1.1) count++;
    }
    return count > 30;
  }).length;
  done({ hash, seen });
})), colours);
const picture = async () => (await drawn()).hash;
const scene = await page.evaluate(() => JSON.parse(document.getElementById("scene").textContent));
await page.locator("#apart").fill("100");
await page.waitForTimeout(200);
const apart = (await drawn(scene.pieces.map((p) => p.rgb))).seen;
holds(`as many colours apart as pieces (${report.pieces.length})`, apart === report.pieces.length, `${apart}`);
await canvas.screenshot({ path: `${shots}/apart.png` });
await page.locator("#apart").fill("0");

// A step holds its piece back along the slide, and brings it home.
const together = await picture();
await page.locator("#before").click();
await page.waitForTimeout(200);
const before = await picture();
holds("a step back moves a piece", together !== before);
holds("and says which", (await page.locator("#said").textContent()).includes("Step") || report.steps.length === 1,
  await page.locator("#said").textContent());
await canvas.screenshot({ path: `${shots}/step.png` });
await page.locator("#after").click();
await page.waitForTimeout(200);
holds("a step on brings it home", await picture() === together);

// Rows and pieces light each other up.
const id = report.pieces[report.pieces.length - 1].id;
await page.locator(`#${id}`).click();
holds("a click on a row picks its piece", (await page.locator("#picked").textContent()).endsWith(id));
await page.waitForTimeout(200);
holds("and lights it up", await picture() !== together);
await canvas.scrollIntoViewIfNeeded();
const box = await canvas.boundingBox();
await page.keyboard.press("Escape");
let hit = "";
for (let x = 0.3; x < 0.75 && !hit; x += 0.05) {
  await page.mouse.click(box.x + box.width * x, box.y + box.height * 0.42);
  const words = await page.locator("#picked").textContent();
  if (words.startsWith("Picked")) hit = words.split(" ").pop();
}
holds("a click on a piece picks it", hit !== "");
holds("and lights its row up", hit !== "" && await page.locator(`tr.picked #${hit}`).count() === 1);
await page.locator("#lie").click();
await page.waitForTimeout(200);
await canvas.screenshot({ path: `${shots}/bed.png` });
// From below its first layer is blue.
await canvas.focus();
for (let k = 0; k < 14; k++) await page.keyboard.press("ArrowUp");
await page.waitForTimeout(200);
const blue = (await drawn([[41, 128, 186]])).seen;
holds("from below the first layer is coloured", blue === 1);
await canvas.screenshot({ path: `${shots}/bed-below.png` });
await page.locator("#home").click();
await page.locator("#choose").selectOption(hit);
await page.waitForTimeout(150);

// Hidden and shown again.
const all = await picture();
await page.locator("#hide").click();
await page.waitForTimeout(150);
holds("hides a piece", await picture() !== all && (await page.locator("#picked").textContent()).startsWith("No"));
await page.locator("#show").click();
await page.locator("#choose").selectOption(hit);
await page.waitForTimeout(150);
holds("and shows it again", await picture() === all);

// The keyboard alone.
await page.evaluate(() => { document.body.tabIndex = -1; document.body.focus(); });
await page.evaluate(() => window.scrollTo(0, 0));
const reached = new Set();
for (let k = 0; k < 60; k++) {
  await page.keyboard.press("Tab");
  const what = await page.evaluate(() => document.activeElement.id || document.activeElement.textContent.trim());
  reached.add(what);
}
const wanted = ["stage", "apart", "step", "before", "play", "after", "lie", "alone", "hide", "show", "home", "choose"];
holds("Tab reaches every control", wanted.every((w) => reached.has(w)), wanted.filter((w) => !reached.has(w)).join());
await canvas.focus();
const still = await picture();
await page.keyboard.press("ArrowLeft");
await page.waitForTimeout(150);
holds("arrow keys turn the view", await picture() !== still);

// Accessibility: WCAG 2.2 A and AA.
const axe = createRequire(import.meta.url).resolve("axe-core/axe.min.js");
await page.addScriptTag({ path: axe });
const judged = await page.evaluate(() => axe.run(document, {
  runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"],
}));
const serious = judged.violations.filter((v) => ["serious", "critical"].includes(v.impact));
holds("no serious accessibility violation", serious.length === 0,
  serious.map((v) => `${v.id}: ${v.nodes[0].html}`).join("\n"));

// Narrow screens and paper: nothing is cut off.
await page.setViewportSize({ width: 390, height: 800 });
await page.waitForTimeout(200);
const wide = await page.evaluate(() => document.documentElement.scrollWidth);
holds("fits a phone", wide <= 391, `${wide} px wide`);
await page.screenshot({ path: `${shots}/phone.png` });
for (const [paper, width] of [["A4", 688], ["Letter", 710]]) {
  await page.emulateMedia({ media: "print" });
  await page.setViewportSize({ width, height: 1000 });
  const cut = await page.evaluate(() => [...document.querySelectorAll("main table, main img, main svg")]
    .filter((e) => e.getClientRects().length && e.getBoundingClientRect().right > document.documentElement.clientWidth + 1)
    .map((e) => e.closest("section").id));
  holds(`nothing cut off on ${paper}`, cut.length === 0, cut.join());
  writeFileSync(`${shots}/print-${paper}.pdf`, await page.pdf({ format: paper }));
}
await page.emulateMedia({ media: "screen" });
await page.setViewportSize({ width: 1200, height: 900 });
await page.screenshot({ path: `${shots}/page.png`, fullPage: true });

holds("no complaint on the console", complaints.length === 0, complaints.join("\n"));
holds("nothing is asked for but the file", asked.length === 1, asked.join("\n"));
await browser.close();
console.log(`\n${passed} passed, ${failed} failed`);
process.exit(failed ? 1 : 0);
