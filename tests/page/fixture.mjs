// Writes sample pages for check_page.mjs, as `feldspar report` would. Usage: node fixture.mjs DIRECTORY
// ALL NUMBERS HERE ARE INVENTED: smooth curves that look plausible, for the page's test only. Nothing was computed or
// measured. The scene: a rowing club's boathouse by a lake, a small lawn, a flagpole and an 11 m pole.
import fs from "node:fs";
import path from "node:path";
import {fileURLToPath} from "node:url";

const here = path.dirname(fileURLToPath(import.meta.url));
const assets = path.join(here, "../../lib/report/page");
const css = fs.readFileSync(path.join(assets, "page.css"), "utf8");
const script = fs.readFileSync(path.join(assets, "page.js"), "utf8");
const plots = fs.readFileSync(path.join(assets, "plotly.min.js.gz")).toString("base64");

// Amateur allocations in MHz, the frequency in the middle of use last.
const kBands = [
  ["80m", 3.5, 3.8, 3.65], ["60m", 5.3515, 5.3665, 5.36], ["40m", 7.0, 7.2, 7.1], ["30m", 10.1, 10.15, 10.12],
  ["20m", 14.0, 14.35, 14.15], ["17m", 18.068, 18.168, 18.12], ["15m", 21.0, 21.45, 21.2], ["12m", 24.89, 24.99, 24.94],
  ["10m", 28.0, 29.7, 28.5],
];

export const escaped = (text) => String(text).replace(/&/g, "&amp;").replace(/</g, "&lt;").replace(/>/g, "&gt;");
const round = (value, digits = 5) => Number(value.toPrecision(digits));
const range = (count, make) => Array.from({length: count}, (_, i) => make(i));

// ------------------------------------------------------------------------------------------ invented numbers

// A wire that is resonant whenever it is an odd number of quarter waves long, behind 12 m of cable.
function curve(lengthMetres, losses) {
  const hertz = range(401, (i) => 3e6 * 10 ** (i / 400));
  const rows = hertz.map((f) => {
    const electrical = 2 * Math.PI * f * lengthMetres / 285e6;
    const damping = 0.1 + losses;
    const t = {re: Math.tanh(damping), im: Math.tan(electrical + 1e-4)};
    // 420 ohm times cot(electrical - j damping), written out
    const [a, b, c, d] = [1, t.re * t.im, t.re, t.im];
    const size = c * c + d * d;
    const port = {r: 420 * (a * c + b * d) / size * 0.9 + 12, x: 420 * (b * c - a * d) / size};
    const reflection = ((port.r - 50) ** 2 + port.x ** 2) / ((port.r + 50) ** 2 + port.x ** 2);
    const rho = Math.sqrt(reflection) * 10 ** (-0.02 * Math.sqrt(f / 1e6));
    const angle = Math.atan2(port.x, port.r - 50) - Math.atan2(port.x, port.r + 50) - 4 * Math.PI * f * 12 / 2e8;
    const down = 1 - 2 * rho * Math.cos(angle) + rho * rho;
    return {port, radio: {r: 50 * (1 - rho * rho) / down, x: 100 * rho * Math.sin(angle) / down}, swr: (1 + rho) / (1 - rho)};
  });
  return {
    frequency_hz: hertz.map((f) => Math.round(f)), swr_at_radio: rows.map((row) => round(row.swr)),
    port_resistance_ohm: rows.map((row) => round(row.port.r)), port_reactance_ohm: rows.map((row) => round(row.port.x)),
    radio_resistance_ohm: rows.map((row) => round(row.radio.r)), radio_reactance_ohm: rows.map((row) => round(row.radio.x)),
  };
}

function power(k, seed) {
  const line = Math.max(4, 90 - 11 * k - 9 * seed);
  const rest = 100 - line;
  const parts = {sky: 0.35 + 0.03 * k, ground: 0.4 - 0.02 * k, wires: 0.02, coils: seed ? 0 : 0.05, transformer: seed ? 0.1 : 0, choke: 0.02, tuner: 0.04};
  const sum = Object.values(parts).reduce((a, b) => a + b);
  const scaled = Object.fromEntries(Object.entries(parts).map(([part, share]) => [part, round(rest * share / sum, 3)]));
  return {...scaled, line, other: 0};
}

function pattern(k, seed) {
  const tilt = 28 - 1.5 * k + 4 * seed;
  const peak = -5 + 0.8 * k - seed;
  const lobe = (angle) => {
    const s = Math.sin(angle * Math.PI / 180);
    return s <= 0 ? null : round(peak + 20 * Math.log10(Math.max(1e-3, s ** 0.7 * Math.abs(Math.cos((angle - tilt) * 0.9 * Math.PI / 180)))) + 3 * s - 1, 4);
  };
  const cut = range(181, (i) => i);
  const bearings = range(180, (i) => 2 * i);
  return {
    gain_dbi: peak, gain_elevation_deg: tilt, gain_bearing_deg: 110,
    gain_dbi_at_elevation: {10: round(peak - 4.2, 3), 30: peak, 60: round(peak - 4 - seed, 3), 90: k === 2 ? null : round(peak - 11, 3)},
    elevation_cut: {bearing_deg: 110, angle_deg: cut, gain_dbi: cut.map((angle) => angle <= 90 ? lobe(angle) : lobe(180 - angle) === null ? null : round(lobe(180 - angle) - (2 * seed + 1) * (angle - 90) / 90, 4))},
    azimuth_cut: {elevation_deg: tilt, bearing_deg: bearings, gain_dbi: bearings.map((b) => round(peak - (2 + 5 * seed) * Math.sin((b - 110) * Math.PI / 360) ** 2, 4))},
  };
}

function wire(name, points, bands) {
  const [from, to] = [points[0], points[points.length - 1]];
  const many = range(25, (i) => from.map((value, axis) => round(value + (to[axis] - value) * i / 24)));
  const current = Object.fromEntries(bands.map(([band], k) =>
    [band, {points: many, ampere: many.map((_, i) => round(1.2 * Math.abs(Math.cos((i / 24) * (0.5 + 0.35 * k) * Math.PI)), 3))}]));
  return {name, points, current};
}

const kDrawings = [
  [["slope", [[0, 0, 1.2], [6.5, 2.0, 11]]], ["tail", [[6.5, 2, 11], [14, 4.5, 6.2]]], ["radial on the lawn", [[0, 0, 0.05], [-5, 3, 0.05]]], ["radial to the jetty", [[0, 0, 0.05], [-4.5, -4, 0.05]]]],
  [["upright at the flagpole", [[0, 0, 0.3], [0, 0, 8.2]]], ["radial 1", [[0, 0, 0.05], [5, 0, 0.05]]], ["radial 2", [[0, 0, 0.05], [-2.5, 4.3, 0.05]]], ["radial 3", [[0, 0, 0.05], [-2.5, -4.3, 0.05]]]],
];

function rig(name, title, seed, {ribbon = false} = {}) {
  const invented = curve(seed ? 8.2 : 18.5, 0.15 * (1 + seed));
  return {
    name, title, curve: invented,
    ribbon: ribbon ? {label: "dry sand to wet meadow", swr_at_radio: {
      lowest: invented.swr_at_radio.map((swr) => round(Math.max(1, 1 + (swr - 1) * 0.8))),
      highest: invented.swr_at_radio.map((swr) => round(1 + (swr - 1) * 1.3))}} : null,
    bands: kBands.map(([band, lower, upper, middle], k) => ({band, lower_hz: lower * 1e6, upper_hz: upper * 1e6, frequency_hz: middle * 1e6,
      power_percent: power(k, seed), pattern: k % 2 === 0 ? pattern(k, seed) : null})),
    drawing: {ground: true, port: seed ? [0, 0, 0.3] : [0, 0, 1.2], x_bearing_deg: 110,
      wires: kDrawings[seed % 2].map(([wireName, points]) => wire(seed === 0 && name.includes("<") ? name : wireName, points, kBands.filter((_, k) => k % 2 === 0)))},
  };
}

// --------------------------------------------------------------------------------------- still pictures, plain

// Stand-ins for the C++ side's SVGs: the right classes, little else.
function stillCurves(rigs) {
  const x = (hertz) => 50 + 630 * Math.log10(hertz / 3e6);
  const y = (swr) => 300 - 270 * Math.log10(Math.min(20, swr)) / Math.log10(20);
  const strips = kBands.map(([band, lower, upper]) => `<rect class="band" x="${x(lower * 1e6).toFixed(1)}" y="30" width="${Math.max(1, x(upper * 1e6) - x(lower * 1e6)).toFixed(1)}" height="270"/>` +
    `<text x="${x(lower * 1e6).toFixed(1)}" y="24" text-anchor="middle" font-size="14">${band}</text>`);
  const lines = [1, 2, 3, 10, 20].map((swr) => `<line class="${swr === 1 ? "axis" : "grid"}" x1="50" x2="680" y1="${y(swr)}" y2="${y(swr)}"/><text class="small" x="42" y="${y(swr) + 5}" text-anchor="end">${swr}</text>`);
  const curves = rigs.map((one, i) => `<polyline class="curve rig-${i}" points="${one.curve.frequency_hz.map((f, k) => `${x(f).toFixed(1)},${y(one.curve.swr_at_radio[k]).toFixed(1)}`).join(" ")}"/>`);
  return `<svg viewBox="0 0 700 330" role="img" aria-label="SWR over frequency">${[...strips, ...lines, ...curves].join("")}</svg>`;
}

const stillWords = (words) => `<svg viewBox="0 0 700 120" role="img" aria-label="${escaped(words)}"><line class="axis" x1="20" x2="680" y1="100" y2="100"/><text x="20" y="60">still picture: ${escaped(words)}</text></svg>`;
const figure = (kind, still, caption) => `<figure data-plot="${kind}"><div class="plot">${still}</div><figcaption>${escaped(caption)}</figcaption></figure>`;
const htmlTable = (head, rows) => `<div class="wide"><table><thead><tr>${head.map((text) => `<th scope="col">${escaped(text)}</th>`).join("")}</tr></thead><tbody>` +
  `${rows.map((row) => `<tr>${row.map((cell, i) => cell.html ?? (i ? `<td>${escaped(cell)}</td>` : `<th scope="row">${escaped(cell)}</th>`)).join("")}</tr>`).join("\n")}</tbody></table></div>`;
const tuner = (swr) => {
  const [kind, word] = swr < 2 ? ["none", "✓ none"] : swr < 3 ? ["radio", "○ radio’s own"] : swr < 10 ? ["wide-range", "◐ wide-range"] : ["out-of-range", "✕ not useful"];
  return {html: `<td class="tuner ${kind}">${word}</td>`};
};

// ----------------------------------------------------------------------------------------------- whole pages

function page(title, headline, main, data) {
  return `<!doctype html>
<!-- Sample for the page's test. All numbers are invented; nothing was computed or measured. -->
<html lang="en"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escaped(title)}</title><style>${css}</style></head>
<body>
<header><h1>${escaped(title)}</h1><p class="headline">${escaped(headline)}</p></header>
<main>
${main}
</main><footer>feldspar 0.0 · report sample.toml · invented numbers</footer>
<script type="application/json" id="data">${JSON.stringify(data).replace(/</g, "\\u003c")}</script>
<script type="application/octet-stream" id="plots">${plots}</script>
<script>${script}</script>
</body></html>
`;
}

function rigPage(rigs, headline) {
  const swrAt = (one, hertz) => one.curve.swr_at_radio[one.curve.frequency_hz.findIndex((f) => f >= hertz)];
  const changed = rigs.length > 1 ? `<section id="changed"><h2>What changed</h2>${htmlTable(["what", ...rigs.map((one) => one.name)],
    [["wire", "18.5 m", "8.2 m"], ["radials", "2", "3"], ["transformer", "none", "4 : 1"]])}</section>` : "";
  const operating = rigs.flatMap((one) => one.bands.map((band) => [rigs.length > 1 ? `${band.band}, ${one.name}` : band.band, (band.frequency_hz / 1e6).toFixed(3),
    swrAt(one, band.frequency_hz).toFixed(1), tuner(swrAt(one, band.frequency_hz)), band.power_percent.sky.toFixed(0), band.pattern ? band.pattern.gain_dbi.toFixed(1).replace("-", "−") : "none"]));
  const rigging = [["slope", "18.5 m (60′ 8″)", "insulated copper, 1.5 mm²", "from the tuner on the boathouse rail at 1.2 m to the top of the 11 m pole"],
    ["tail", "9.3 m (30′ 6″)", "the same", "from the pole’s top down to a line at the flagpole, 6.2 m up"],
    ["radial on the lawn", "5.8 m (19′ 0″)", "the same", "on the grass, under the guy"], ["radial to the jetty", "6.0 m (19′ 8″)", "the same", "along the edge of the lawn, weighted at the jetty"],
    ["line", "12 m (39′ 4″)", "coaxial cable, 50 Ω, 5 mm", "from the rail to the radio in the boathouse"]]
    .map(([part, length, ...rest]) => [part, {html: `<td class="length">${length}</td>`}, ...rest]);
  return page(rigs.map((one) => one.title).join(" against "), headline, `
${changed}
<section id="operating"><h2>Operating table</h2>${htmlTable(["band", "frequency in MHz", "SWR at the radio", "tuner needed", "radiated in %", "gain in dBi"], operating)}</section>
<section id="swr"><h2>SWR over frequency</h2>
${figure("swr", stillCurves(rigs), "SWR at the radio: below 3 on 40m and 15m, above 10 on 60m.")}
${figure("impedance", stillWords("R and X at the port"), "Resistance and reactance at the port. X crosses zero at 3.9 and 11.6 MHz.")}
${figure("smith", stillWords("impedance at the radio"), "Impedance at the radio against 50 Ω, in turns of the Smith chart.")}</section>
<section id="watts"><h2>Where the watts go</h2>
${figure("power", stillWords("power by band"), "Share of the radio’s power by band; on 80m most of it warms the line.")}
${htmlTable(["band", "sky", "ground", "wires", "line"], rigs[0].bands.map((band) => [band.band, ...["sky", "ground", "wires", "line"].map((part) => band.power_percent[part].toFixed(0))]))}</section>
<section id="pattern"><h2>Pattern</h2>
${figure("elevation", stillWords("elevation on 80m"), "Elevation pattern on 80m.")}
${figure("azimuth", stillWords("azimuth on 80m"), "Azimuth pattern on 80m.")}</section>
<section id="drawing"><h2>Drawing</h2>
${figure("drawing", stillWords("the rig from the side"), "The rig from the side, in true proportion; the highest point is 11 m up.")}</section>
<section id="rigging"><h2>Rigging list</h2>${htmlTable(["part", "length", "wire", "where"], rigging)}</section>
<section id="assumptions"><h2>Assumptions</h2><p>Flat, even ground; still air; dry rope.</p><ul class="warnings"><li>The lake is not in the model: ground is the lawn’s everywhere.</li></ul></section>
<section id="model"><h2>Model</h2><details><summary>The model file</summary><pre>${range(40, (i) => `[[wire]]  # ${i}`).join("\n")}</pre></details></section>`,
    {format: 1, reference_ohm: 50, rigs, sweep: null});
}

// 100 heights x 25 slopes x 4 soils = 10,000 cases, by 12 bands.
function sweepData(names) {
  const axes = [
    {name: names[0], unit: "m", values: range(100, (i) => round(4 + 0.08 * i, 4))},
    {name: "slope", unit: "deg", values: range(25, (i) => 2 * i)},
    {name: names[1], unit: "", values: ["dry sand", "average", "wet meadow", names[2]]},
    {name: "band", unit: "", values: ["160m", ...kBands.map(([band]) => band), "6m", "4m"]},
  ];
  const values = (make) => {
    const all = [];
    for (let h = 0; h < 100; ++h) for (let s = 0; s < 25; ++s) for (let g = 0; g < 4; ++g) for (let b = 0; b < 12; ++b) all.push(make(h, s, g, b));
    return all;
  };
  return {title: "Height, slope and soil", axes, quantities: [
    {name: "swr_at_radio", title: "SWR at the radio", unit: "", logarithmic: true,
      values: values((h, s, g, b) => h === 3 && b === 2 ? null : round(1.1 + 9 * Math.abs(Math.sin(0.7 * b + 0.03 * h + 0.02 * s)) / (1 + 0.3 * g), 4))},
    {name: "gain_dbi", title: "greatest gain", unit: "dBi", logarithmic: false,
      values: values((h, s, g, b) => round(-8 + 0.7 * b + 0.03 * h + 0.5 * g - 0.02 * s, 4))},
  ]};
}

function sweepPage(names = ["pole_height", "ground.soil", "lake water"]) {
  const sweep = sweepData(names);
  const [heights, slopes, soils, bands] = sweep.axes;
  // The page's own table is short, as a page for 10,000 cases has to be: 150,000 cells take a browser ten seconds.
  const rows = range(200, (i) => [heights.values[Math.floor(i / 100)], slopes.values[Math.floor(i / 4) % 25], soils.values[i % 4],
    ...range(12, (b) => sweep.quantities[0].values[12 * i + b] ?? "none")]);
  return page("Height, slope and soil at the boathouse", "From 7 m up the pole’s height hardly matters; the soil does.", `
<section id="sweep"><h2>Sweep</h2>
${figure("sweep", stillWords("SWR along the bands"), "SWR at the radio along the bands, for four soils.")}
<p>The first 200 of 10,000 cases.</p>
${htmlTable([heights.name, slopes.name, soils.name, ...bands.values], rows)}</section>`, {format: 1, reference_ohm: 50, rigs: [], sweep});
}

const kHostile = ["<img src=x onerror=alert(1)> & %{x} $a$", "</script><script>alert(2)</script>", "<a href=\"javascript:alert(3)\">press</a>"];

function hostilePage() {
  const rigs = [rig(kHostile[0], kHostile[1], 0, {ribbon: true}), rig(kHostile[2], "<b>bold</b>", 1)];
  rigs[0].ribbon.label = kHostile[2];
  for (const one of rigs) one.bands[2].band = "<i>40</i>";
  for (const one of rigs) for (const w of one.drawing.wires) w.current["<i>40</i>"] = w.current["40m"];
  return rigPage(rigs, kHostile[1]);
}

export const kPages = {
  "one.html": () => rigPage([rig("slope-at-the-lake", "Sloping wire at the boathouse", 0, {ribbon: true})], "On the lawn tonight: use 40m and 15m without a tuner, 20m with the radio’s own; leave 60m."),
  "two.html": () => rigPage([rig("slope-at-the-lake", "Sloping wire", 0, {ribbon: true}), rig("flagpole-upright", "upright at the flagpole", 1)], "The sloping wire wins below 10 MHz, the upright above."),
  "hostile.html": hostilePage,
  "sweep.html": () => sweepPage(),
  "hostile-sweep.html": () => sweepPage(kHostile),
};

if (process.argv[1] === fileURLToPath(import.meta.url)) {
  const target = process.argv[2];
  if (!target) {
    console.error("usage: node fixture.mjs DIRECTORY");
    process.exit(2);
  }
  fs.mkdirSync(target, {recursive: true});
  for (const [name, make] of Object.entries(kPages)) fs.writeFileSync(path.join(target, name), make());
}
