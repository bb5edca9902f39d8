// Breaks sample pages on purpose, one fault each, and asks check_page.mjs to notice: a check that cannot fail is none.
// Usage: node break_page.mjs [0,4,7]    (all of them: about six minutes on two cores). Exit status 0: every fault was noticed.
import {execFile} from "node:child_process";
import fs from "node:fs";
import os from "node:os";
import path from "node:path";
import {fileURLToPath} from "node:url";
import {kPages} from "./fixture.mjs";

const here = path.dirname(fileURLToPath(import.meta.url));

// page, what is replaced (once), by what, the line that must fail.
const kFaults = [
  ["one.html", "</main>", "</main><script>console.error('broken')</script>", "no error, no request"],
  ["one.html", "</main>", "<iframe src=\"http://127.0.0.1:9/\" title=\"x\"></iframe></main>", "no error, no request"],
  ["one.html", "const kPlots = {swr: swrPlot, ", "const kPlots = {", "swr is drawn in place of the still picture"],
  ["one.html", ".is-live .plot > svg, .is-live .still { display: none; }", "", "drawn in place of the still picture"],
  ["one.html", "one.words.textContent = caption;", "one.figure.querySelector('figcaption').textContent = '';", "has words beside it"],
  ["one.html", "      state.band = value;\n", "", "another band by keyboard changes the elevation"],
  ["one.html", "await Plotly.react(one.chart, traces,", "await Plotly.react(one.chart, traces.slice(0, 1),", "two edges per ribbon"],
  ["two.html", "const traces = data.rigs.flatMap((rig, i) => {", "const traces = data.rigs.slice(1).flatMap((rig, i) => {", "swr has one trace per rig"],
  ["two.html", "dash: kDashes[index % kDashes.length]", "dash: 'solid'", "tells rigs apart"],
  ["two.html", "y: rig.curve.swr_at_radio, line", "y: rig.curve.swr_at_radio.map((swr) => swr * 1.001), line", "swr draws the numbers"],
  ["two.html", "isNumber(ohm) ? ohm / data.reference_ohm", "isNumber(ohm) ? ohm / 75", "smith draws the radio's side"],
  ["two.html", "aspectmode: \"data\"", "aspectmode: \"cube\"", "true proportion"],
  ["two.html", "width: 2 + (view.narrow ? 1 : 2) * i}", "width: 2}", "current as thickness"],
  ["two.html", "drawAll([\"elevation\", \"azimuth\", \"drawing\"])", "drawAll([\"elevation\", \"azimuth\"])", "another band changes the current"],
  ["two.html", "[room.x[0], room.x[0] + 1]", "[room.x[0], room.x[0] + 2]", "rule of one metre"],
  ["one.html", "addEventListener(\"change\", () => drawAll());", "addEventListener(\"change\", () => {});", "follow the change from light to dark"],
  ["one.html", "overflow-x: auto; margin: 0 0 1rem;", "margin: 0 0 1rem;", "does not scroll sideways"],
  ["one.html", "--faint: #5f6368;", "--faint: #c0c0c0;", "light: accessible"],
  ["one.html", "--faint: #a3a9ae;", "--faint: #40454a;", "dark: accessible"],
  ["one.html", "break-before: page; break-after: page;", "break-before: page;", "nothing else is on that sheet"],
  ["one.html", "break-before: page; break-after: page;", "break-before: page; break-after: page; line-height: 9;", "rigging list is on one sheet"],
  ["one.html", ".live, .is-live div.live, .is-live span.live { display: none !important; }", "{ display: none; }", "still pictures instead of plots"],
  ["one.html", "--page: #ffffff; --text: #000000; --faint: #444444;", "--faint: #444444;", "black on white"],
  ["one.html", "showSendToCloud: false, plotlyServerURL: \"\"", "showEditInChartStudio: true, plotlyServerURL: \"http://127.0.0.1:9\"", "no button sends data away", "{...kPlotOptions, modeBarButtons: [buttons],", "{...kPlotOptions,"],
  ["one.html", "return false;  // not base64", "throw new Error('broken');  // not base64", "with a broken bundle"],
  ["one.html", "|| typeof DecompressionStream === \"undefined\") return false", ") throw new Error('broken')", "without the bundle"],
  ["hostile.html", ".replace(/</g, \"&lt;\").replace(/>/g, \"&gt;\").replace(/%", ".replace(/%", "no error, no request", "element(\"span\", {}, name)", "element(\"span\", {innerHTML: name})"],
  ["hostile.html", "element(\"span\", {}, name)", "element(\"span\", {innerHTML: name})", "became an element"],
  ["two.html", "element(\"span\", {}, name)", "element(\"span\", {}, name.toUpperCase())", "letter by letter"],
  ["sweep.html", "index * one.values.length + place[i], 0)", "index + one.values.length * place[i], 0)", "right slice"],
  ["sweep.html", "const kMostLines = 8;", "const kMostLines = 80;", "at most 8 lines"],
  ["sweep.html", "update({quantity: Number(value)})", "update({})", "choosing another “Quantity”"],
  ["sweep.html", "\"use strict\";\n", "\"use strict\"; for (const end = performance.now() + 4000; performance.now() < end;);\n", "within 3 s"],
  ["sweep.html", "choice.map ? sweepMap(view, sweep, choice) : sweepLines", "choice.map ? sweepLines(view, sweep, choice) : sweepLines", "map over two axes"],
];

const run = (file, expected) => new Promise((resume) => execFile(process.execPath, [path.join(here, "check_page.mjs"), file, "--until", expected], {timeout: 180000},
  (error, output) => resume({failed: Boolean(error), output})));

const directory = fs.mkdtempSync(path.join(os.tmpdir(), "page-break-"));
let unnoticed = 0;

async function worker(queue) {
  for (let next = queue.shift(); next; next = queue.shift()) {
    const [index, [page, from, to, expected, ...more]] = next;
    const changes = [[from, to], ...(more.length ? [more] : [])];
    let text = kPages[page]();
    for (const [old, fresh] of changes) {
      if (!text.includes(old)) console.log(`FAIL fault ${index}: the page has no “${old}”`);
      text = text.replace(old, () => fresh);
    }
    const file = path.join(directory, `${index}-${page}`);
    fs.writeFileSync(file, text);
    const {failed, output} = await run(file, expected);
    const noticed = failed && output.split("\n").some((line) => line.startsWith("FAIL") && line.includes(expected));
    if (!noticed) ++unnoticed;
    console.log(`${noticed ? "ok  " : "FAIL"} fault ${index} (${page}: ${to.slice(0, 50).replace(/\n/g, " ")}) → ${expected}`);
    if (!noticed) console.log(output.split("\n").filter((line) => !line.startsWith("ok")).join("\n"));
  }
}

const only = process.argv[2]?.split(",").map(Number);
const queue = [...kFaults.entries()].filter(([index]) => !only || only.includes(index));
await Promise.all([worker(queue), worker(queue)]);
fs.rmSync(directory, {recursive: true, force: true});
process.exit(unnoticed ? 1 : 0);
