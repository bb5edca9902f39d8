// Drives a report page in Chromium, offline, as a reader would, and prints one line per check.
// Usage: node check_page.mjs PAGE.html [--screenshots DIR] [--values FILE] [--until TEXT]
//   --screenshots DIR   keeps pictures at both widths and schemes, and the printed PDF
//   --values FILE       JSON list of {"plot": "swr", "rig": 0, "role": "curve", "x": 7.1, "y": 1.43, "tolerance": 0.01}:
//                       the drawn trace of that rig has this y at the x nearest to the one given (x, y as drawn;
//                       theta, r for patterns). "role" may be left out.
//   --patience          a sweep's first curve must be there within 3 s: for a machine that does nothing else
//   --until TEXT        ends at the first failed check with this text in its name (for break_page.mjs)
// Needs Chromium (environment variable CHROMIUM, else /usr/bin/chromium) and pdftotext (poppler-utils).
// Exit status: 0 all checks passed, 1 a check failed, 2 wrong usage.
import {execFileSync} from "node:child_process";
import fs from "node:fs";
import {createRequire} from "node:module";
import os from "node:os";
import path from "node:path";
import {pathToFileURL} from "node:url";
import {parseArgs} from "node:util";
import {chromium} from "playwright-core";

const kWidths = [1280, 360];
const kSchemes = ["light", "dark"];
const kPaintedWithin = 3000;  // ms from navigation to the first plot of a sweep; the reader's patience

const {values: options, positionals} = parseArgs({allowPositionals: true,
  options: {screenshots: {type: "string"}, values: {type: "string"}, until: {type: "string"}, patience: {type: "boolean"}}});
if (positionals.length !== 1) {
  console.error("usage: node check_page.mjs PAGE.html [--screenshots DIR] [--values FILE]");
  process.exit(2);
}
const file = path.resolve(positionals[0]);
const name = path.basename(file, ".html");
const temporary = fs.mkdtempSync(path.join(os.tmpdir(), "page-check-"));
if (options.screenshots) fs.mkdirSync(options.screenshots, {recursive: true});
const axe = fs.readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

let failures = 0;
function check(what, passed, detail = "") {
  if (!passed) ++failures;
  console.log(`${passed ? "ok  " : "FAIL"} ${name}: ${what}${!passed && detail !== "" ? ` (${detail})` : ""}`);
  if (!passed && options.until && what.includes(options.until)) process.exit(1);
}

// ------------------------------------------------------------------------------------------------ opening

// Opens the page with everything that counts as trouble written down.
async function open(browser, {width = 1280, scheme = "light", page: wanted = file, init = null} = {}) {
  const context = await browser.newContext({offline: true, viewport: {width, height: width < 500 ? 740 : 900}, colorScheme: scheme,
    hasTouch: width < 500, isMobile: width < 500, deviceScaleFactor: width < 500 ? 2 : 1});
  const page = await context.newPage();
  const trouble = [];
  const url = pathToFileURL(wanted).href;
  page.on("console", (message) => message.type() === "error" && trouble.push(`console: ${message.text()}`));
  page.on("pageerror", (error) => trouble.push(`page error: ${error.message}`));
  page.on("dialog", (dialog) => {
    trouble.push(`dialog: ${dialog.message()}`);
    dialog.dismiss();
  });
  page.on("request", (request) => {
    if (request.url() !== url && !/^(data|blob):/.test(request.url())) trouble.push(`request: ${request.url()}`);
  });
  if (init) await page.addInitScript(init);
  await page.goto(url);
  const {ready, broken} = await page.evaluate(async () => {
    const broken = await Promise.resolve(window.pageReady).then(() => window.pageReady ? "" : "no window.pageReady", String);
    await new Promise((resume) => requestAnimationFrame(() => setTimeout(resume)));
    return {ready: performance.now(), broken};
  });
  if (broken) trouble.push(broken);
  return {context, page, trouble, ready};
}

// What is drawn in each figure, read from the plots themselves.
const drawn = (page) => page.evaluate(() => [...document.querySelectorAll("figure[data-plot]")].map((figure) => {
  const chart = figure.querySelector(".chart");
  const box = chart?.getBoundingClientRect();
  return {
    kind: figure.dataset.plot,
    live: figure.classList.contains("is-live"),
    marks: chart?.querySelectorAll(".main-svg .trace, .main-svg .hm, .gl-container canvas").length ?? 0,
    size: box ? [box.width, box.height] : [0, 0],
    label: chart?.getAttribute("aria-label") ?? "",
    caption: figure.querySelector("figcaption")?.textContent.trim() ?? "",
    paper: chart?.layout?.paper_bgcolor,
    stillShown: [...figure.querySelectorAll(".plot > svg")].some((svg) => svg.getClientRects().length > 0),
    traces: (chart?.data ?? []).map((trace) => ({meta: trace.meta, name: trace.name, x: trace.x ?? trace.theta ?? trace.real,
      y: trace.y ?? trace.r ?? trace.imag, z: trace.z, width: trace.line?.width, color: trace.line?.color, dash: trace.line?.dash})),
  };
}));

const readData = (page) => page.evaluate(() => JSON.parse(document.getElementById("data").textContent));

async function settle(page) {
  await page.waitForTimeout(700);
}

// ------------------------------------------------------------------------------------------------- checks

async function checkDrawn(page, label) {
  for (const figure of await drawn(page)) {
    if (figure.kind === "drawing" && !figure.live) continue;  // on demand, see checkDrawing
    check(`${label}: ${figure.kind} is drawn in place of the still picture`,
      figure.live && figure.marks > 0 && figure.size[0] > 200 && figure.size[1] > 100 && !figure.stillShown, JSON.stringify({...figure, traces: figure.traces.length}));
    check(`${label}: ${figure.kind} has words beside it`, figure.label.length > 5 && figure.caption.length > 5);
  }
}

const maxDifference = (a, b) => Math.max(0, ...a.map((value, i) => Math.abs((value ?? 0) - (b[i] ?? 0))));

async function checkRigs(page, data) {
  if (data.rigs.length === 0) return;
  const figures = await drawn(page);
  const select = page.getByLabel("Band", {exact: true});
  const band = await select.count() ? await select.inputValue() : null;
  const roles = {swr: "curve", smith: "curve", impedance: "R", elevation: "pattern", azimuth: "pattern"};
  for (const figure of figures.filter(({kind}) => kind in roles)) {
    const traces = figure.traces.filter((trace) => trace.meta?.role === roles[figure.kind]);
    const expected = roles[figure.kind] !== "pattern" ? data.rigs.length
      : data.rigs.filter((rig) => rig.bands.some((one) => one.band === band && one.pattern)).length;
    check(`${figure.kind} has one trace per rig (${expected})`, traces.length === expected, traces.length);
    const looks = new Set(traces.map((trace) => `${trace.color} ${trace.dash}`));
    check(`${figure.kind} tells rigs apart by colour and dash`, looks.size === traces.length && new Set(traces.map((t) => t.dash)).size === traces.length);
    if (figure.kind === "swr") {
      const off = Math.max(...traces.map((trace) => maxDifference(trace.y, data.rigs[trace.meta.rig].curve.swr_at_radio)));
      check("swr draws the numbers of the data", off === 0, off);
      const ribbons = figure.traces.filter((trace) => trace.meta?.role === "ribbon").length;
      check("swr has two edges per ribbon", ribbons === 2 * data.rigs.filter((rig) => rig.ribbon).length, ribbons);
    }
    if (figure.kind === "smith") {
      const off = Math.max(...traces.map((trace) => maxDifference(trace.x.map((r) => r * data.reference_ohm), data.rigs[trace.meta.rig].curve.radio_resistance_ohm)));
      check("smith draws the radio's side over the reference", off < 1e-6, off);
    }
  }
}

async function checkBandSelect(page, data) {
  if (!data.rigs.some((rig) => rig.bands.some((band) => band.pattern))) return;
  const select = page.getByLabel("Band", {exact: true});
  check("band select is labelled and stands in the pattern section", await page.locator("#pattern select").count() === 1 && await select.count() === 1);
  const kinds = ["elevation", "azimuth"];
  const of = async (kind) => (await drawn(page)).find((figure) => figure.kind === kind);
  const before = Object.fromEntries(await Promise.all(kinds.map(async (kind) => [kind, await of(kind)])));
  const options = await select.locator("option").count();
  if (options < 2) return;
  await select.focus();
  await page.keyboard.press("ArrowDown");
  await settle(page);
  for (const kind of kinds) {
    const after = await of(kind);
    check(`another band by keyboard changes the ${kind} drawn`, JSON.stringify(after.traces.map((t) => [t.y, t.x])) !== JSON.stringify(before[kind].traces.map((t) => [t.y, t.x])) && after.traces.length > 0);
    check(`another band changes the words of the ${kind}`, after.label !== before[kind].label);
  }
}

async function checkDrawing(page, data) {
  const wanted = data.rigs.some((rig) => rig.drawing?.wires?.length) && await page.locator('figure[data-plot="drawing"]').count() > 0;
  if (!wanted) return;
  await page.locator("#drawing-3d").click();
  await page.waitForFunction(() => document.querySelector('figure[data-plot="drawing"] canvas'));
  await settle(page);
  const drawing = async () => (await drawn(page)).find((figure) => figure.kind === "drawing");
  const first = await drawing();
  check("drawing turns into a 3-D plot on demand", first.live && first.marks > 0 && !first.stillShown);
  const proportion = await page.evaluate(() => {
    const ratio = document.querySelector('figure[data-plot="drawing"] .chart')._fullLayout.scene.aspectmode;
    return ratio;
  });
  check("drawing is in true proportion", proportion === "data", proportion);
  check("drawing has a rule of one metre", first.traces.some((t) => t.meta?.role === "rule" && Math.abs(t.x[1] - t.x[0] - 1) < 1e-9));
  const current = (figure) => JSON.stringify(figure.traces.filter((t) => t.meta?.role === "current").map((t) => [t.x, t.width]));
  const flows = data.rigs.some((rig) => rig.drawing.wires.some((wire) => Object.keys(wire.current ?? {}).length > 1));
  if (flows && await page.locator("#band-choice option").count() > 1) {
    check("drawing shows current as thickness", new Set(first.traces.filter((t) => t.meta?.role === "current").map((t) => t.width)).size > 1);
    await page.getByLabel("Band", {exact: true}).selectOption({index: 0});
    await settle(page);
    check("another band changes the current drawn", current(await drawing()) !== current(first));
  }
  await page.locator("#drawing-3d").click();
  check("drawing goes back to the still picture", (await drawing()).stillShown);
  await page.locator("#drawing-3d").click();
  await settle(page);
}

async function checkSweep(page, data) {
  if (!data.sweep) return;
  const sweep = async () => (await drawn(page)).find((figure) => figure.kind === "sweep");
  const traces = (figure) => JSON.stringify(figure.traces.map((t) => [t.meta, t.x, t.y, t.z]));
  let before = await sweep();
  check("sweep draws at most 8 lines", before.traces.length >= 1 && before.traces.length <= 8, before.traces.length);
  const {axes, quantities: [quantity]} = data.sweep;
  const stride = (i) => axes.slice(i + 1).reduce((product, axis) => product * axis.values.length, 1);  // row-major, by hand
  const longest = Math.max(...axes.map((axis) => axis.values.length));
  const last = axes.length - 1;  // bands or frequencies, when they make a line
  const along = axes[last].values.length > 2 || axes[last].values.length === longest ? last
    : axes.findIndex((axis) => axis.values.length === longest);
  const across = axes.findIndex((axis, i) => i !== along && axis.values.length > 1 && axis.values.length <= 8);
  if (across >= 0) {
    const wanted = (line) => axes[along].values.map((_, k) => quantity.values[line * stride(across) + k * stride(along)]);
    const off = Math.max(...before.traces.map((trace, i) => maxDifference(trace.y, wanted(i))));
    check("sweep draws the right slice", before.traces.length === axes[across].values.length && off === 0, off);
  }
  for (const id of await page.locator("#sweep select").evaluateAll((selects) => selects.map((select) => select.id))) {
    const select = page.locator(`#${id}`);
    if (await select.count() === 0) continue;
    const label = await page.locator(`label[for="${id}"]`).textContent();
    const values = await select.locator("option").evaluateAll((all) => all.map((option) => option.value));
    const other = values.filter((value) => value !== "none").find((value, i, list) => i === list.length - 1 && value) ?? values[0];
    const old = await select.inputValue();
    if (values.length < 2) continue;
    await select.selectOption(other === old ? values.find((value) => value !== old && value !== "none") ?? "none" : other);
    await settle(page);
    const after = await sweep();
    check(`sweep: choosing another “${label.slice(0, 20)}” changes what is drawn`, traces(after) !== traces(before) && after.traces.length > 0);
    before = after;
  }
  const map = await page.locator("#sweep-across option").evaluateAll((all) => all.map((option) => option.value).find((value) => value.startsWith("map")));
  if (map) {
    await page.locator("#sweep-across").selectOption(map);
    await settle(page);
    const figure = await sweep();
    check("sweep draws a map over two axes", figure.traces.length === 1 && figure.traces[0].meta?.role === "map" && figure.traces[0].z.length > 1);
  }
}

// User's text stays text: no element that only such a text could have made.
async function checkText(page, data) {
  const found = await page.evaluate(() => [...document.querySelectorAll("img, iframe, object, embed, a[href^='javascript' i], svg a, .chart a[href], [onerror], [onload]")]
    .map((node) => node.outerHTML.slice(0, 80)));
  check("no text of the user became an element", found.length === 0, found.join(" | "));
  if (data.rigs.length > 1) {
    const names = await page.evaluate(() => [...document.querySelectorAll('figure[data-plot="smith"] .key li')].map((node) => node.textContent));
    const starts = data.rigs.every((rig, i) => names[i] === rig.name);
    check("names of rigs are shown letter by letter", starts, names.join(" | "));
  }
}

async function checkButtons(page) {
  const titles = await page.evaluate(() => [...document.querySelectorAll(".modebar-btn")].map((button) => button.dataset.title ?? ""));
  check("no button sends data away", titles.every((title) => !/share|edit|cloud|plotly/i.test(title)), titles.join(", "));
}

async function checkAxe(page, label) {
  await page.evaluate(axe);
  const found = await page.evaluate(async () => (await window.axe.run(document, {resultTypes: ["violations"]})).violations
    .filter((one) => one.impact === "serious" || one.impact === "critical")
    .map((one) => `${one.id}: ${one.nodes.slice(0, 3).map((node) => node.target.join(" ")).join(", ")}`));
  check(`${label}: accessible (no serious or critical finding)`, found.length === 0, found.join(" | "));
}

async function checkOverflow(page, label) {
  const [wide, room] = await page.evaluate(() => [document.documentElement.scrollWidth, document.documentElement.clientWidth]);
  check(`${label}: the page does not scroll sideways`, wide <= room && room <= 360, `${wide} > ${room}`);
}

async function checkTheme(page) {
  const papers = async () => (await drawn(page)).filter((figure) => figure.live).map((figure) => figure.paper);
  const light = await papers();
  await page.emulateMedia({colorScheme: "dark"});
  await page.waitForTimeout(2500);
  const dark = await papers();
  check("plots follow the change from light to dark", light.every((paper, i) => paper !== dark[i]), `${light} → ${dark}`);
  await page.emulateMedia({colorScheme: "light"});
  await page.waitForTimeout(1500);
}

// The printed page, page by page: one holds the rigging list, all of it, and nothing else.
async function checkPaper(page) {
  if (await page.locator("#rigging").count() === 0) return;
  const pdf = path.join(options.screenshots ?? temporary, `${name}.pdf`);
  await page.pdf({path: pdf, format: "A4", preferCSSPageSize: true, printBackground: false});
  const squeeze = (text) => text.replace(/\s+/g, "");
  const sheets = execFileSync("pdftotext", ["-raw", pdf, "-"], {encoding: "utf8"}).split("\f").map(squeeze);
  const texts = await page.evaluate(() => ({
    heading: document.querySelector("#rigging h2").textContent,
    cells: [...document.querySelectorAll("#rigging tbody tr")].map((row) => row.cells[0].textContent + row.cells[1].textContent),
    others: [...document.querySelectorAll("main > section:not(#rigging) > h2")].map((heading) => heading.textContent)}));
  const holding = sheets.filter((sheet) => sheet.includes(squeeze(texts.heading)) && texts.cells.some((cell) => sheet.includes(squeeze(cell))));
  check("paper: the rigging list is on one sheet", holding.length === 1 && texts.cells.every((cell) => holding[0].includes(squeeze(cell))), `${holding.length} sheets`);
  check("paper: nothing else is on that sheet", holding.length === 1 && holding[0].startsWith(squeeze(texts.heading)) &&
    texts.others.every((other) => !holding[0].includes(squeeze(other))), holding[0]?.slice(0, 80));
  await page.emulateMedia({media: "print", colorScheme: "dark"});  // even from a dark screen
  const shown = await page.evaluate(() => ({
    charts: [...document.querySelectorAll(".chart, select, button")].filter((node) => node.getClientRects().length > 0).length,
    stills: [...document.querySelectorAll("figure[data-plot] .plot > svg")].every((svg) => svg.getClientRects().length > 0),
    page: getComputedStyle(document.body).backgroundColor, text: getComputedStyle(document.body).color}));
  check("paper: still pictures instead of plots and controls", shown.charts === 0 && shown.stills, JSON.stringify(shown));
  check("paper: black on white", shown.page === "rgb(255, 255, 255)" && shown.text === "rgb(0, 0, 0)", JSON.stringify(shown));
  await page.emulateMedia({media: "screen", colorScheme: "light"});
  await page.waitForTimeout(2500);
}

// Without the bundle, with a broken one, or in a browser that cannot unpack it, the still page stays.
async function checkStill(browser) {
  const text = fs.readFileSync(file, "utf8");
  const bundle = /(<script type="application\/octet-stream" id="plots">)[^<]*/;
  const variants = {
    "without the bundle": {text: text.replace(bundle, "$1")},
    "with a broken bundle": {text: text.replace(bundle, "$1bm90IGd6aXA=")},
    "without DecompressionStream": {text, init: "delete globalThis.DecompressionStream"},
  };
  check("the bundle is where the contract says", bundle.test(text));
  for (const [label, variant] of Object.entries(variants)) {
    const copy = path.join(temporary, "still.html");
    fs.writeFileSync(copy, variant.text);
    const {context, page, trouble} = await open(browser, {page: copy, init: variant.init});
    const figures = await drawn(page);
    check(`${label}: still pictures stay, no error`, trouble.length === 0 && figures.every((figure) => figure.stillShown && !figure.live), trouble.join(" | "));
    await context.close();
  }
}

async function checkValues(page) {
  const figures = await drawn(page);
  for (const wanted of JSON.parse(fs.readFileSync(options.values, "utf8"))) {
    const figure = figures.find(({kind}) => kind === wanted.plot);
    const trace = figure?.traces.find(({meta}) => meta?.rig === wanted.rig && (wanted.role === undefined ? meta.role !== "ribbon" : meta.role === wanted.role));
    const place = trace?.x.reduce((best, x, i) => Math.abs(x - wanted.x) < Math.abs(trace.x[best] - wanted.x) ? i : best, 0);
    const off = trace ? Math.abs(trace.y[place] - wanted.y) : Infinity;
    check(`values: ${wanted.plot}, rig ${wanted.rig}, at ${wanted.x}: ${wanted.y}`, off <= wanted.tolerance, trace ? `drawn ${trace.y[place]} at ${trace.x[place]}` : "no such trace");
  }
}

// --------------------------------------------------------------------------------------------------- run

async function run(browser) {
  for (const width of kWidths) {
    for (const scheme of kSchemes) {
      const label = `${width} ${scheme}`;
      const {context, page, trouble, ready} = await open(browser, {width, scheme});
      const data = await readData(page);
      await checkDrawn(page, label);
      if (data.sweep && options.patience) check(`${label}: table and first curve within ${kPaintedWithin / 1000} s`, ready <= kPaintedWithin, `${Math.round(ready)} ms`);
      if (width === 360) await checkOverflow(page, label);
      if (width === 1280 && scheme === "light") {
        if (options.values) await checkValues(page);
        await checkRigs(page, data);
        await checkText(page, data);
        await checkBandSelect(page, data);
        await checkDrawing(page, data);
        await checkSweep(page, data);
        await checkButtons(page);
        await checkTheme(page);
        await checkPaper(page);
      } else if (data.rigs.length) {
        await page.locator("#drawing-3d").click();
        await settle(page);
        if (width === 360) await checkOverflow(page, `${label}, with the 3-D drawing`);
      }
      if (options.screenshots) {
        await page.screenshot({path: path.join(options.screenshots, `${name}-${width}-${scheme}.png`), fullPage: !data.sweep});
      }
      if (!data.sweep || width === 1280) await checkAxe(page, label);
      check(`${label}: no error, no request`, trouble.length === 0, trouble.join(" | "));
      await context.close();
    }
  }
  await checkStill(browser);
}

const browser = await chromium.launch({executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium",
  args: ["--no-sandbox", "--enable-unsafe-swiftshader"]});
try {
  await run(browser);
} catch (error) {
  check("the check itself ran to its end", false, error.stack);
} finally {
  await browser.close();
  fs.rmSync(temporary, {recursive: true, force: true});
}
process.exit(failures ? 1 : 0);
