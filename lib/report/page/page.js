// Makes the figures of a report page live. The page is complete without this script: tables, words and a still
// picture in every figure. Where the plot library can be unpacked, each still picture gives way to a plot that answers
// to a finger or a mouse; on paper the still pictures come back (page.css). Nothing is fetched; all data is in #data.
// Names and titles come from the user: they go into the page as text, and through plain() into the plot library.
"use strict";

(() => {
  // ---------------------------------------------------------------------------------------------- constants

  const kSwrTop = 20;              // the SWR axis ends here
  const kPatternFloor = -30;       // dB below the maximum at the centre of a pattern
  const kNearLinear = 50;          // ohm; the impedance axis is about linear below, logarithmic above
  const kMostLines = 8;            // lines in a plot of a sweep
  const kMostRows = 100;           // rows of the table below it
  const kCurrentSteps = 8;         // thicknesses of a wire in the 3-D drawing
  const kFootPerMetre = 1 / 0.3048;

  const kDashes = ["solid", "dash", "dashdot", "longdash", "dot", "longdashdot", "8px,2px", "2px,6px"];
  const kPlotOptions = {displaylogo: false, showSendToCloud: false, plotlyServerURL: "", responsive: true};
  // Power in its order from the sky to the radio; the names are those of the tables.
  const kParts = ["sky", "ground", "wires", "coils", "transformer", "choke", "line", "tuner", "other"];

  // ---------------------------------------------------------------------------------------- text and numbers

  // The plot library reads tags, entities and %{…} in every text it draws; this keeps a text what it is.
  const plain = (text) => String(text).replace(/&/g, "&amp;").replace(/</g, "&lt;").replace(/>/g, "&gt;").replace(/%\{/g, "%&#123;");

  const shortened = (text, most = 32) => {
    const letters = [...String(text)];
    return letters.length > most ? `${letters.slice(0, most - 1).join("")}…` : letters.join("");
  };

  const isNumber = (value) => typeof value === "number" && Number.isFinite(value);
  const fixed = (value, decimals) => isNumber(value) ? value.toFixed(decimals).replace("-", "−") : "none";
  const gainText = (dbi) => isNumber(dbi) && dbi < -40 ? "<−40" : signed(dbi, 1);  // only an ideal lawn has deeper nulls
  const signed = (value, decimals) => isNumber(value) && value > 0 ? `+${fixed(value, decimals)}` : fixed(value, decimals);
  const compact = (value) => isNumber(value) ? String(Number(value.toPrecision(4))).replace("-", "−") : String(value ?? "none");
  const percent = (value) => fixed(value, value >= 10 ? 0 : 1);
  const megahertz = (hertz) => isNumber(hertz) ? hertz / 1e6 : null;
  const highest = (values) => values.reduce((top, value) => isNumber(value) && value > top ? value : top, -Infinity);

  function metresAndFeet(metres) {
    const inches = Math.round(metres * kFootPerMetre * 12);
    return `${fixed(metres, 2)} m (${Math.floor(inches / 12)}′ ${inches % 12}″)`;
  }

  // -------------------------------------------------------------------------------------------- page elements

  function element(tag, properties = {}, ...children) {
    const made = Object.assign(document.createElement(tag), properties);
    made.append(...children);
    return made;
  }

  // A labelled select; `options` are {value, text}. `changed` gets the chosen value.
  function labelledSelect(id, label, options, value, changed) {
    const select = element("select", {id}, ...options.map((option) => element("option", {value: option.value}, option.text)));
    select.value = value;
    select.addEventListener("change", () => changed(select.value));
    return element("p", {className: "choice"}, element("label", {htmlFor: id}, label), " ", select);
  }

  function table(head, rows) {
    const headRow = element("tr", {}, ...head.map((text) => element("th", {scope: "col"}, text)));
    const body = rows.map(([first, ...rest]) =>
      element("tr", {}, element("th", {scope: "row"}, first), ...rest.map((text) => element("td", {}, text))));
    return element("table", {}, element("thead", {}, headRow), element("tbody", {}, ...body));
  }

  // ------------------------------------------------------------------------------------- colours and layout

  // Colours live in page.css only; they are read again whenever the page turns light or dark.
  function readTheme() {
    const style = getComputedStyle(document.documentElement);
    const colour = (name) => style.getPropertyValue(`--${name}`).trim();
    return {
      page: colour("page"), text: colour("text"), faint: colour("faint"), grid: colour("grid"), line: colour("line"), band: colour("band"),
      rigs: kDashes.map((_, i) => colour(`rig-${i}`)),
      parts: Object.fromEntries(kParts.map((part) => [part, colour(`part-${part}`)])),
      font: {family: getComputedStyle(document.body).fontFamily, size: 14, color: colour("text")},
    };
  }

  const channels = (hex) => [1, 3, 5].map((i) => parseInt(hex.slice(i, i + 2), 16));
  const translucent = (hex, alpha) => `rgba(${channels(hex).join(",")},${alpha})`;

  // Black or white, whichever reads better on the colour (relative luminance of WCAG 2, contrast equal at 0.179).
  function inkOn(hex) {
    const [r, g, b] = channels(hex).map((value) => value / 255)
      .map((value) => value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4);
    return 0.2126 * r + 0.7152 * g + 0.0722 * b > 0.179 ? "#000000" : "#ffffff";
  }

  function baseLayout(view, height) {
    const {theme} = view;
    return {
      height, font: theme.font, paper_bgcolor: theme.page, plot_bgcolor: theme.page, dragmode: view.touch ? false : "zoom",
      margin: {l: 52, r: 12, t: 44, b: 48}, hoverlabel: {namelength: -1, font: {family: theme.font.family, size: 14}},
      modebar: {bgcolor: "rgba(0,0,0,0)", color: theme.faint, activecolor: theme.text},
      showlegend: false, hovermode: "closest",
    };
  }

  const axis = (theme, more) => ({
    gridcolor: theme.grid, linecolor: theme.faint, zeroline: false, showline: true, ticks: "outside", ticklen: 4,
    tickcolor: theme.faint, automargin: true, ...more,
  });

  const axisTitle = (text) => ({text: plain(text), standoff: 8, font: {size: 14}});
  const rigLine = (theme, index, width = 2.5) =>
    ({color: theme.rigs[index % theme.rigs.length], dash: kDashes[index % kDashes.length], width});

  // The key of a figure: a sample of line or colour, drawn with the classes of page.css, and a name.
  function keyEntry(kind, classes, name) {
    const svg = document.createElementNS("http://www.w3.org/2000/svg", "svg");
    const sample = document.createElementNS(svg.namespaceURI, kind === "line" ? "line" : "rect");
    const width = kind === "bar" ? 12 : 32;
    const place = kind === "line" ? {x1: 0, x2: width, y1: 6, y2: 6} : {x: 0, y: 0, width, height: 12};
    for (const [attribute, value] of Object.entries({...place, class: classes})) sample.setAttribute(attribute, value);
    for (const [attribute, value] of Object.entries({width, height: 12, "aria-hidden": "true"})) svg.setAttribute(attribute, value);
    svg.append(sample);
    return element("li", {}, svg, element("span", {}, name));
  }

  const rigKey = (rigs) => rigs.length > 1 ? rigs.map((rig, i) => keyEntry("line", `curve rig-${i % 8}`, rig.name)) : [];

  const lineOrDot = (x) => x.length > 1 ? "lines" : "markers";

  // ------------------------------------------------------------------------------- frequency axis with bands

  function frequencyAxis(view) {
    const all = view.data.rigs.flatMap((rig) => rig.curve.frequency_hz).map(megahertz).filter(isNumber);
    const low = Math.min(...all);
    const high = Math.max(...all);
    const wide = high > 3 * low;
    const room = high > low ? 0 : 0.01 * low;
    const marks = [0.1, 0.2, 0.5, 1, 1.5, 2, 3, 4, 5, 7, 10, 14, 20, 30, 50, 70, 100, 150, 200, 300, 500, 1000, 2000];
    return axis(view.theme, {
      title: axisTitle("frequency in MHz"), type: wide ? "log" : "linear",
      range: wide ? [Math.log10(low), Math.log10(high)] : [low - room, high + room],
      ...(wide ? {tickvals: marks, ticktext: marks.map(String)} : {nticks: view.narrow ? 5 : 10}),
      showgrid: false,
    });
  }

  // Strips with names over the plot; the names stand upright where they would touch otherwise.
  function bandStrips(view, xaxis) {
    const bands = new Map(view.data.rigs.flatMap((rig) => rig.bands).map((band) => [band.band, band]));
    const place = (hertz) => xaxis.type === "log" ? Math.log10(megahertz(hertz)) : megahertz(hertz);
    const [from, to] = xaxis.range;
    const seen = [...bands.values()]
      .map((band) => ({name: band.band, from: Math.max(from, place(band.lower_hz)), to: Math.min(to, place(band.upper_hz))}))
      .filter((band) => band.from <= band.to).sort((a, b) => a.from - b.from);
    const pixels = (view.width - 70) / (to - from);
    const middles = seen.map((band) => (band.from + band.to) / 2);
    const crowded = middles.some((middle, i) => i > 0 && (middle - middles[i - 1]) * pixels < 40);
    const shown = (value) => xaxis.type === "log" ? 10 ** value : value;  // shapes take numbers, annotations exponents
    return {
      shapes: seen.map((band) => ({type: "rect", xref: "x", yref: "paper", x0: shown(band.from), x1: shown(band.to), y0: 0,
        y1: 1, fillcolor: view.theme.band, line: {width: 1, color: view.theme.band}, layer: "below"})),
      annotations: seen.map((band, i) => ({text: plain(shortened(band.name, 8)), xref: "x", yref: "paper", x: middles[i], y: 1,
        yanchor: "bottom", xanchor: "center", textangle: crowded ? -90 : 0, showarrow: false, font: {color: view.theme.text}})),
    };
  }

  // --------------------------------------------------------------------------------------------- SWR

  function ribbonTraces(view, rig, index, x) {
    if (!rig.ribbon) return [];
    const {lowest, highest: top} = rig.ribbon.swr_at_radio;
    const edge = {x, type: "scatter", mode: "lines", line: {width: 0}, hoverinfo: "skip", connectgaps: true,
      meta: {role: "ribbon", rig: index}};
    return [
      {...edge, y: lowest},
      {...edge, y: top, fill: "tonexty", fillcolor: translucent(view.theme.rigs[index % 8], 0.3)},
    ];
  }

  function swrPlot(view) {
    const {theme, data} = view;
    const xaxis = frequencyAxis(view);
    const traces = data.rigs.flatMap((rig, i) => {
      const x = rig.curve.frequency_hz.map(megahertz);
      return [...ribbonTraces(view, rig, i, x), {
        type: "scatter", mode: lineOrDot(x), x, y: rig.curve.swr_at_radio, line: rigLine(theme, i), name: plain(shortened(rig.name)),
        meta: {role: "curve", rig: i}, hovertemplate: "%{x:.3f} MHz, SWR %{y:.2f}<extra></extra>",
      }];
    });
    const marks = [1, 1.5, 2, 3, 5, 10, 20];
    const strips = bandStrips(view, xaxis);
    const lines = [2, 3, 10].map((swr) => ({type: "line", xref: "paper", yref: "y", x0: 0, x1: 1, y0: swr, y1: swr,
      line: {color: theme.line, width: 1}, layer: "below"}));
    const layout = {...baseLayout(view, view.narrow ? 320 : 420), xaxis, ...strips, shapes: [...strips.shapes, ...lines],
      yaxis: axis(theme, {title: axisTitle("SWR at the radio"), type: "log", range: [0, Math.log10(kSwrTop)],
        tickvals: marks, ticktext: marks.map(String), showgrid: false})};
    const ribbons = data.rigs.flatMap((rig, i) => rig.ribbon ? [keyEntry("ribbon", `ribbon rig-${i % 8}`,
      data.rigs.length > 1 ? `${rig.name}, ${rig.ribbon.label}` : rig.ribbon.label)] : []);
    return {traces, layout, key: [...rigKey(data.rigs), ...ribbons], buttons: ["zoom2d", "pan2d", "resetScale2d", "toImage"]};
  }

  // --------------------------------------------------------------------------------------------- impedance

  // About linear to 50 ohm, logarithmic above: a peak of thousands of ohms leaves the rest readable.
  const squeezed = (ohm) => isNumber(ohm) ? Math.asinh(ohm / kNearLinear) : null;

  function ohmAxis(theme, title, values, more) {
    const seen = values.filter(isNumber);
    const top = Math.max(100, ...seen);
    const bottom = Math.min(0, ...seen);
    const marks = [-10000, -3000, -1000, -300, -100, -30, 0, 30, 100, 300, 1000, 3000, 10000];
    return axis(theme, {
      title: axisTitle(title), range: [squeezed(bottom * 1.1) - 0.1, squeezed(top * 1.1)], tickvals: marks.map(squeezed),
      ticktext: marks.map((mark) => fixed(mark, 0)), zeroline: true, zerolinecolor: theme.text, zerolinewidth: 1.5, ...more,
    });
  }

  function impedancePlot(view) {
    const {theme, data} = view;
    const several = data.rigs.length > 1;
    const traces = data.rigs.flatMap((rig, i) => {
      const x = rig.curve.frequency_hz.map(megahertz);
      const trace = (letter, ohms, more) => ({
        type: "scatter", mode: lineOrDot(x), x, y: ohms.map(squeezed), customdata: ohms,
        meta: {role: letter, rig: i}, hovertemplate: `%{x:.3f} MHz, ${letter} %{customdata:.1f} Ω<extra></extra>`, ...more});
      return [
        trace("R", rig.curve.port_resistance_ohm, {line: rigLine(theme, i)}),
        trace("X", rig.curve.port_reactance_ohm, several ? {line: rigLine(theme, i), yaxis: "y2"}
          : {line: {...rigLine(theme, i), dash: "dot"}}),
      ];
    });
    const xaxis = frequencyAxis(view);
    const resistances = data.rigs.flatMap((rig) => rig.curve.port_resistance_ohm);
    const reactances = data.rigs.flatMap((rig) => rig.curve.port_reactance_ohm);
    // With several rigs the dashes tell them apart, so R and X get a panel each over one frequency axis.
    const yaxes = several
      ? {yaxis: ohmAxis(theme, "R in Ω", resistances, {domain: [0.53, 1]}),
         yaxis2: ohmAxis(theme, "X in Ω", reactances, {domain: [0, 0.47]})}
      : {yaxis: ohmAxis(theme, "R and X in Ω", [...resistances, ...reactances], {})};
    const layout = {...baseLayout(view, (view.narrow ? 320 : 420) * (several ? 1.5 : 1)), xaxis: {...xaxis, anchor: several ? "y2" : "y"},
      ...yaxes, ...bandStrips(view, xaxis)};
    const key = several ? rigKey(data.rigs)
      : [keyEntry("line", "curve rig-0", "R, resistance"), keyEntry("line", "curve rig-0 dotted", "X, reactance")];
    return {traces, layout, key, buttons: ["zoom2d", "pan2d", "resetScale2d", "toImage"]};
  }

  // --------------------------------------------------------------------------------------------- Smith chart

  const nearestIndex = (values, wanted) =>
    values.reduce((best, value, i) => Math.abs(value - wanted) < Math.abs(values[best] - wanted) ? i : best, 0);

  function smithPlot(view) {
    const {theme, data} = view;
    const parts = (rig) => ({r: rig.curve.radio_resistance_ohm, x: rig.curve.radio_reactance_ohm});
    const normal = (ohms) => ohms.map((ohm) => isNumber(ohm) ? ohm / data.reference_ohm : null);
    const words = (rig, i) => `${fixed(megahertz(rig.curve.frequency_hz[i]), 3)} MHz, ${fixed(parts(rig).r[i], 1)} ` +
      `${parts(rig).x[i] < 0 ? "−" : "+"} j ${fixed(Math.abs(parts(rig).x[i]), 1)} Ω`;
    const traces = data.rigs.flatMap((rig, i) => {
      const {r, x} = parts(rig);
      const inRange = rig.bands.filter((band) => band.frequency_hz >= rig.curve.frequency_hz[0] &&
        band.frequency_hz <= rig.curve.frequency_hz[rig.curve.frequency_hz.length - 1]);
      const places = inRange.map((band) => nearestIndex(rig.curve.frequency_hz, band.frequency_hz));
      const pick = (values) => places.map((place) => values[place]);
      const common = {type: "scattersmith", hovertemplate: "%{customdata}<extra></extra>"};
      return [
        {...common, mode: "lines", real: normal(r), imag: normal(x), line: rigLine(theme, i, 2), name: plain(shortened(rig.name)),
          customdata: r.map((_, k) => words(rig, k)), meta: {role: "curve", rig: i}},
        {...common, mode: "markers+text", real: pick(normal(r)), imag: pick(normal(x)),
          marker: {color: theme.rigs[i % 8], size: 8, symbol: i % 8}, text: inRange.map((band) => plain(shortened(band.band, 8))),
          textposition: i % 2 ? "bottom right" : "top left", textfont: {color: theme.text}, customdata: places.map((k) => words(rig, k)),
          meta: {role: "bands", rig: i}},
      ];
    });
    const side = Math.min(view.width, 560);
    const ring = {gridcolor: theme.grid, linecolor: theme.faint, tickcolor: theme.faint, tickfont: {color: theme.faint}};
    const layout = {...baseLayout(view, side + 20), dragmode: false, margin: {l: 36, r: 36, t: 32, b: 32},
      smith: {bgcolor: theme.page, realaxis: {...ring, tickvals: [0.2, 0.5, 1, 2, 5]},
        imaginaryaxis: {...ring, tickvals: [-5, -2, -1, -0.5, -0.2, 0, 0.2, 0.5, 1, 2, 5]}}};
    return {traces, layout, key: rigKey(data.rigs), buttons: ["toImage"]};
  }

  // --------------------------------------------------------------------------------------------- power

  function powerPlot(view) {
    const {theme, data} = view;
    const several = data.rigs.length > 1;
    const names = [...new Set(data.rigs.flatMap((rig) => rig.bands.map((band) => band.band)))];
    // One row per band and rig, bands a little apart; the first band on top.
    const rows = names.flatMap((name, b) => data.rigs.flatMap((rig, i) => {
      const band = rig.bands.find((candidate) => candidate.band === name);
      return band ? [{band, name, rig: i, y: b * (data.rigs.length + (several ? 0.6 : 0)) + i}] : [];
    }));
    const share = (row, part) => row.band.power_percent?.[part] ?? 0;
    const present = kParts.filter((part) => rows.some((row) => share(row, part) > 0));
    const traces = present.map((part) => ({
      type: "bar", orientation: "h", y: rows.map((row) => row.y),
      x: rows.map((row) => share(row, part)), width: 0.84, meta: {role: part},
      text: rows.map((row) => share(row, part) >= (view.narrow ? 10 : 8) ? percent(share(row, part)) : ""), textposition: "inside",
      insidetextanchor: "middle", textangle: 0, constraintext: "none", insidetextfont: {color: inkOn(theme.parts[part])},
      marker: {color: theme.parts[part], line: {color: theme.page, width: 1}},
      customdata: rows.map((row) => [percent(share(row, part)), plain(row.name), plain(shortened(data.rigs[row.rig].name))]),
      hovertemplate: `${part === "sky" ? "radiated to the sky" : part} %{customdata[0]} %<br>%{customdata[1]}, %{customdata[2]}<extra></extra>`,
    }));
    const label = (row) => plain(several ? `${row.name}  ${row.rig + 1}` : row.name);
    const last = rows.length ? rows[rows.length - 1].y : 0;
    const layout = {...baseLayout(view, 70 + 26 * (last + 1)), barmode: "stack", margin: {l: 44, r: 16, t: 8, b: 48},
      xaxis: axis(theme, {range: [0, 100], title: axisTitle("percent of the radio’s power"), tickvals: [0, 20, 40, 60, 80, 100]}),
      yaxis: axis(theme, {range: [last + 0.6, -0.6], tickvals: rows.map((row) => row.y), ticktext: rows.map(label), showgrid: false,
        ticks: ""})};
    const parts = present.map((part) => keyEntry("bar", `part-${part}`, part === "sky" ? "sky (radiated)" : part));
    const rigs = several ? data.rigs.map((rig, i) => element("li", {}, `${i + 1} = ${rig.name}`)) : [];
    return {traces, layout, buttons: ["toImage"], key: [...parts, ...rigs]};
  }

  // --------------------------------------------------------------------------------------------- patterns

  const patternOf = (rig, bandName) => rig.bands.find((band) => band.band === bandName)?.pattern ?? null;

  // The rigs that have a pattern on the chosen band, and the gain at the rim: the greatest of them all.
  function patternsShown(view) {
    const shown = view.data.rigs.map((rig, i) => ({rig, index: i, pattern: patternOf(rig, view.band)})).filter((one) => one.pattern);
    const rim = highest(shown.flatMap(({pattern}) =>
      [pattern.gain_dbi, ...(pattern.elevation_cut?.gain_dbi ?? []), ...(pattern.azimuth_cut?.gain_dbi ?? [])]));
    return {shown, rim};
  }

  const belowRim = (gain, rim) => isNumber(gain) ? Math.max(kPatternFloor, gain - rim) : kPatternFloor;

  function patternTrace(view, one, angles, gains, rim) {
    return {type: "scatterpolar", mode: "lines", theta: angles, r: gains.map((gain) => belowRim(gain, rim)),
      line: rigLine(view.theme, one.index), name: plain(shortened(one.rig.name)), meta: {role: "pattern", rig: one.index},
      customdata: gains.map(gainText), hovertemplate: "%{theta:.0f}°: %{customdata} dBi<extra></extra>"};
  }

  function patternLayout(view, height, rim, polar) {
    const {theme} = view;
    const ring = {gridcolor: theme.grid, linecolor: theme.faint, tickcolor: theme.faint};
    return {...baseLayout(view, height), dragmode: false, margin: {l: 44, r: 44, t: 28, b: 28},
      polar: {bgcolor: theme.page, sector: polar.sector,
        radialaxis: {...ring, range: [kPatternFloor, 0], tickvals: [-30, -20, -10, 0], angle: 0, tickangle: 0,
          ticktext: ["", "−20", view.narrow ? "" : "−10", `${signed(rim, 1)} dBi`], tickfont: {color: theme.text}},
        angularaxis: {...ring, ...polar.angularaxis}}};
  }

  function elevationCaption(view, shown) {
    if (shown.length === 0) return `No pattern on ${view.band}.`;
    const each = shown.map(({rig, pattern}) => `${view.data.rigs.length > 1 ? `${rig.name}: ` : ""}` +
      `${signed(pattern.gain_dbi, 1)} dBi at ${fixed(pattern.gain_elevation_deg, 0)}° above the horizon` +
      (isNumber(pattern.gain_bearing_deg) ? `, bearing ${fixed(pattern.gain_bearing_deg, 0)}°` : ""));
    return `Elevation pattern on ${view.band}. Greatest gain: ${each.join("; ")}.`;
  }

  function elevationPlot(view) {
    const {shown, rim} = patternsShown(view);
    const cut = shown.filter((one) => one.pattern.elevation_cut);
    const traces = cut.map((one) =>
      patternTrace(view, one, one.pattern.elevation_cut.angle_deg, one.pattern.elevation_cut.gain_dbi, rim));
    const marks = [0, 10, 30, 60, 90, 120, 150, 170, 180];
    const layout = patternLayout(view, Math.min(view.width, 680) / 2 + 70, rim, {sector: [0, 180],
      angularaxis: {tickvals: marks, ticktext: marks.map((mark) => `${Math.min(mark, 180 - mark)}°`)}});
    const gains = table(["elevation", ...(view.data.rigs.length > 1 ? shown.map(({rig}) => `${rig.name}, dBi`) : ["gain in dBi"])],
      ["10", "30", "60", "90"].map((angle) => [`${angle}°`, ...shown.map(({pattern}) => gainText(pattern.gain_dbi_at_elevation?.[angle]))]));
    return {traces, layout, buttons: ["toImage"], caption: elevationCaption(view, shown), key: rigKey(view.data.rigs),
      beside: element("div", {className: "wide"}, gains)};
  }

  function azimuthPlot(view) {
    const {shown, rim} = patternsShown(view);
    const cut = shown.filter((one) => one.pattern.azimuth_cut);
    const closed = (values) => [...values, values[0]];
    const traces = cut.map((one) => patternTrace(view, one, closed(one.pattern.azimuth_cut.bearing_deg),
      closed(one.pattern.azimuth_cut.gain_dbi), rim));
    const layout = patternLayout(view, Math.min(view.width, 480) + 20, rim, {sector: [0, 360],
      angularaxis: {direction: "clockwise", rotation: 90, tickvals: [0, 45, 90, 135, 180, 225, 270, 315],
        ticktext: ["N", "NE", "E", "SE", "S", "SW", "W", "NW"]}});
    const heights = cut.map(({rig, pattern}) => (view.data.rigs.length > 1 ? `${rig.name}: ` : "") +
      `${fixed(pattern.azimuth_cut.elevation_deg, 0)}° above the horizon`);
    return {traces, layout, buttons: ["toImage"], key: rigKey(view.data.rigs), caption: cut.length === 0 ? `No azimuth pattern on ${view.band}.`
      : `Azimuth pattern on ${view.band}, true bearings; ${heights.join("; ")}.`};
  }

  // --------------------------------------------------------------------------------------------- 3-D drawing

  // Pieces of wire sorted by current into a few thicknesses, each one trace; gaps (null) part the pieces.
  function currentTraces(view, drawing) {
    const steps = Array.from({length: kCurrentSteps}, () => ({x: [], y: [], z: [], text: []}));
    const most = Math.max(0, ...drawing.wires.map((wire) => highest(wire.current?.[view.band]?.ampere ?? [])));
    const put = (step, a, b, text) => {
      for (const [i, key] of ["x", "y", "z"].entries()) step[key].push(a[i], b[i], null);
      step.text.push(text, text, "");
    };
    for (const wire of drawing.wires) {
      const flow = wire.current?.[view.band];
      const points = flow?.points ?? wire.points;
      for (let i = 1; i < points.length; ++i) {
        const ampere = flow ? ((flow.ampere[i - 1] ?? 0) + (flow.ampere[i] ?? 0)) / 2 : 0;
        const step = most > 0 ? Math.min(kCurrentSteps - 1, Math.floor(kCurrentSteps * ampere / most)) : 0;
        put(steps[step], points[i - 1], points[i], plain(flow ? `${wire.name}: ${fixed(ampere, 2)} A` : wire.name));
      }
    }
    return steps.map((step, i) => ({type: "scatter3d", mode: "lines", x: step.x, y: step.y, z: step.z, text: step.text,
      line: {color: view.theme.rigs[view.rig % 8], width: 2 + (view.narrow ? 1 : 2) * i}, hovertemplate: "%{text}<extra></extra>",
      meta: {role: "current", step: i}})).filter((trace) => trace.x.length > 0);
  }

  function extent(drawing) {
    const points = [drawing.port, ...drawing.wires.flatMap((wire) => wire.points)].filter(Boolean);
    const side = (i) => [Math.min(...points.map((p) => p[i])), Math.max(...points.map((p) => p[i]))];
    const [x, y] = [side(0), side(1)];
    const margin = Math.max(1, 0.1 * Math.max(x[1] - x[0], y[1] - y[0], side(2)[1]));
    return {x: [x[0] - margin, x[1] + margin], y: [y[0] - margin, y[1] + margin], top: side(2)[1]};
  }

  // The ground as a grid, closed at its edges.
  function groundTraces(view, room) {
    const size = Math.max(room.x[1] - room.x[0], room.y[1] - room.y[0]);
    const pitch = [1, 2, 5, 10, 20, 50].find((step) => size / step <= 16) ?? 100;
    const grid = {x: [], y: [], z: []};
    const line = (x0, y0, x1, y1) => {
      grid.x.push(x0, x1, null);
      grid.y.push(y0, y1, null);
      grid.z.push(0, 0, null);
    };
    for (let x = Math.ceil(room.x[0] / pitch) * pitch; x <= room.x[1]; x += pitch) line(x, room.y[0], x, room.y[1]);
    for (let y = Math.ceil(room.y[0] / pitch) * pitch; y <= room.y[1]; y += pitch) line(room.x[0], y, room.x[1], y);
    for (const x of room.x) line(x, room.y[0], x, room.y[1]);
    for (const y of room.y) line(room.x[0], y, room.x[1], y);
    return [{type: "scatter3d", hoverinfo: "skip", mode: "lines", ...grid, line: {color: view.theme.line, width: 1.5}, meta: {role: "ground"}}];
  }

  // A rule of one metre along an edge of the ground, and a letter for north.
  function ruleAndNorth(view, drawing, room) {
    const common = {type: "scatter3d", hoverinfo: "skip", textfont: view.theme.font};
    const rule = {...common, mode: "lines+text", x: [room.x[0], room.x[0] + 1], y: [room.y[0], room.y[0]], z: [0, 0],
      line: {color: view.theme.text, width: 6}, text: ["", "1 m"], textposition: "bottom center", meta: {role: "rule"}};
    if (!isNumber(drawing.x_bearing_deg)) return [rule];
    const angle = drawing.x_bearing_deg * Math.PI / 180;  // bearings run clockwise from north, angles the other way from +x
    const [dx, dy] = [Math.cos(angle), Math.sin(angle)];
    const [cx, cy] = [(room.x[0] + room.x[1]) / 2, (room.y[0] + room.y[1]) / 2];
    const reach = Math.min((room.x[1] - room.x[0]) / 2 / Math.max(Math.abs(dx), 1e-9), (room.y[1] - room.y[0]) / 2 / Math.max(Math.abs(dy), 1e-9));
    const at = (k) => [cx + dx * reach * k, cy + dy * reach * k];
    const [from, to] = [at(0.9), at(1.06)];
    return [rule, {...common, mode: "lines+text", x: [from[0], to[0]], y: [from[1], to[1]], z: [0, 0], text: ["", "N"],
      textposition: "top center", line: {color: view.theme.text, width: 3}, meta: {role: "north"}}];
  }

  // Ends and highest points of wires with their heights and a plumb line; the port's own height stands beside it.
  function heightTraces(view, drawing) {
    const near = (a, b) => Math.hypot(...a.map((value, i) => value - b[i])) < 0.5;
    const tops = [];
    for (const {points} of drawing.wires) {
      const top = points.reduce((best, point) => point[2] > best[2] ? point : best);
      for (const point of [top, points[0], points[points.length - 1]]) {
        if (point[2] > 0.3 && ![drawing.port, ...tops].some((other) => near(other, point))) tops.push(point);
      }
    }
    const words = (height) => view.narrow ? `${fixed(height, 2)} m` : metresAndFeet(height);
    const named = tops.sort((a, b) => b[2] - a[2]).slice(0, 8);
    const common = {type: "scatter3d", hoverinfo: "skip", textfont: view.theme.font};
    const plumb = (i, z) => named.flatMap((top) => [top[i], top[i], null].map((value, k) => z && k === 1 ? 0 : value));
    return [
      {...common, mode: "text", x: named.map((top) => top[0]), y: named.map((top) => top[1]), z: named.map((top) => top[2]),
        text: named.map((top) => words(top[2])), textposition: "top center", meta: {role: "heights"}},
      {...common, mode: "lines", x: plumb(0), y: plumb(1), z: plumb(2, true), line: {color: view.theme.faint, width: 1, dash: "dot"},
        meta: {role: "plumb"}},
      {...common, mode: "markers+text", x: [drawing.port[0]], y: [drawing.port[1]], z: [drawing.port[2]], text: [`port, ${words(drawing.port[2])}`],
        textposition: "middle right", marker: {size: 5, color: view.theme.text}, meta: {role: "port"}},
    ];
  }

  function drawingPlot(view) {
    const rig = view.data.rigs[view.rig];
    const {drawing} = rig;
    const room = extent(drawing);
    const traces = [...(drawing.ground ? groundTraces(view, room) : []), ...currentTraces(view, drawing),
      ...heightTraces(view, drawing), ...ruleAndNorth(view, drawing, room)];
    const far = view.narrow ? 1.4 : 1;
    const hidden = {visible: false, showspikes: false};
    const layout = {...baseLayout(view, view.narrow ? 380 : 560), margin: {l: 0, r: 0, t: 0, b: 0}, dragmode: "turntable",
      scene: {aspectmode: "data", xaxis: hidden, yaxis: hidden, zaxis: hidden, camera: {eye: {x: 0.9 * far, y: -1.6 * far, z: 0.45 * far}, center: {x: 0, y: 0, z: -0.1}}, uirevision: view.rig}};
    const flows = drawing.wires.some((wire) => wire.current?.[view.band]);
    return {traces, layout, buttons: ["resetCameraDefault3d", "toImage"],
      caption: `${rig.name} in true proportion${flows ? `; thickness shows the current on ${view.band}` : ""}. ` +
        `Highest point ${metresAndFeet(room.top)}.`};
  }

  // --------------------------------------------------------------------------------------------- sweep

  const isWords = (sweepAxis) => sweepAxis.values.some((value) => !isNumber(value));
  const inHertz = (sweepAxis) => sweepAxis.unit === "Hz";
  const axisLabel = (sweepAxis) => inHertz(sweepAxis) ? `${sweepAxis.name} in MHz`
    : sweepAxis.unit ? `${sweepAxis.name} in ${sweepAxis.unit}` : sweepAxis.name;
  const valueLabel = (sweepAxis, i) => {
    const value = sweepAxis.values[i];
    if (!isNumber(value)) return String(value);
    return inHertz(sweepAxis) ? `${compact(value / 1e6)} MHz` : `${compact(value)}${sweepAxis.unit ? ` ${sweepAxis.unit}` : ""}`;
  };

  // The first look: bands or frequencies along, or where there are two at most the longest axis; lines of the first short
  // axis of the others, or else a map.
  function firstChoice(sweep) {
    const sizes = sweep.axes.map((one) => one.values.length);
    const along = sizes.at(-1) > 2 ? sizes.length - 1
      : sizes.reduce((best, size, i) => size > sizes[best] ? i : best, sizes.length - 1);
    const others = sweep.axes.map((_, i) => i).filter((i) => i !== along);
    const short = others.find((i) => sweep.axes[i].values.length > 1 && sweep.axes[i].values.length <= kMostLines);
    const across = short ?? others.find((i) => sweep.axes[i].values.length > 1) ?? null;
    return {quantity: 0, along, across, map: short === undefined && across !== null, at: sweep.axes.map(() => 0)};
  }

  // Place of a case in the values, which stand row by row over the axes.
  function sweepIndex(sweep, place) {
    return sweep.axes.reduce((index, one, i) => index * one.values.length + place[i], 0);
  }

  function sweepRow(sweep, choice, acrossIndex) {
    const {values} = sweep.quantities[choice.quantity];
    const place = [...choice.at];
    if (choice.across !== null) place[choice.across] = acrossIndex;
    return sweep.axes[choice.along].values.map((_, i) => {
      place[choice.along] = i;
      return values[sweepIndex(sweep, place)] ?? null;
    });
  }

  // Words stand at 0, 1, 2 …, numbers at their value.
  const positions = (one) => isWords(one) ? one.values.map((_, i) => i) : one.values.map((v) => inHertz(one) ? v / 1e6 : v);

  function sweepAxisLayout(theme, one, more) {
    const marks = isWords(one) && one.values.length <= 40
      ? {tickvals: positions(one), ticktext: one.values.map((_, i) => plain(shortened(valueLabel(one, i), 20)))} : {};
    return axis(theme, {title: axisTitle(axisLabel(one)), ...marks, ...more});
  }

  const quantityLabel = (quantity) => quantity.unit ? `${quantity.title} in ${quantity.unit}` : quantity.title;

  function sweepLines(view, sweep, choice) {
    const along = sweep.axes[choice.along];
    const across = choice.across === null ? null : sweep.axes[choice.across];
    const quantity = sweep.quantities[choice.quantity];
    const count = across ? Math.min(kMostLines, across.values.length) : 1;
    const labels = positions(along).map((_, i) => plain(valueLabel(along, i)));
    return Array.from({length: count}, (_, i) => ({
      type: "scatter", mode: along.values.length > 60 ? "lines" : "lines+markers", x: positions(along), y: sweepRow(sweep, choice, i),
      line: rigLine(view.theme, i), marker: {size: 6, symbol: i}, customdata: labels,
      name: across ? plain(shortened(`${across.name} ${valueLabel(across, i)}`)) : plain(shortened(quantity.title)),
      meta: {role: "line", index: i}, hovertemplate: "%{customdata}: %{y:.4~g}",
    }));
  }

  function sweepMap(view, sweep, choice) {
    const along = sweep.axes[choice.along];
    const across = sweep.axes[choice.across];
    const quantity = sweep.quantities[choice.quantity];
    const rows = across.values.map((_, i) => sweepRow(sweep, choice, i));
    const height = (value) => !isNumber(value) ? null : !quantity.logarithmic ? value : value > 0 ? Math.log10(value) : null;
    const marks = [0.001, 0.01, 0.1, 1, 1.5, 2, 3, 5, 10, 20, 50, 100, 1000, 10000];
    return [{
      type: "heatmap", x: positions(along), y: positions(across), z: rows.map((row) => row.map(height)), colorscale: "Cividis",
      reversescale: quantity.logarithmic, meta: {role: "map"}, hovertemplate: "%{text}<extra></extra>",
      text: rows.map((row, k) => row.map((value, i) =>
        `${plain(valueLabel(along, i))}, ${plain(valueLabel(across, k))}: ${compact(value)}`)),
      colorbar: {title: {text: plain(shortened(quantityLabel(quantity), 28)), side: "right", font: {size: 14}}, thickness: 14, outlinewidth: 0,
        ...(quantity.logarithmic ? {tickvals: marks.map(Math.log10), ticktext: marks.map(String)} : {})},
    }];
  }

  // The numbers of the lines drawn: the words beside the picture. A map has too many.
  function sweepTable(sweep, choice) {
    if (choice.map) return null;
    const along = sweep.axes[choice.along];
    const across = choice.across === null ? null : sweep.axes[choice.across];
    const columns = across ? across.values.slice(0, kMostLines).map((_, i) => valueLabel(across, i)) : [sweep.quantities[choice.quantity].title];
    const lines = columns.map((_, i) => sweepRow(sweep, choice, i));
    const rows = along.values.slice(0, kMostRows).map((_, k) => [valueLabel(along, k), ...lines.map((line) => compact(line[k]))]);
    const rest = along.values.length > kMostRows ? [element("p", {}, `The first ${kMostRows} of ${along.values.length}.`)] : [];
    return element("div", {className: "wide"}, table([along.name, ...columns], rows), ...rest);
  }

  function sweepPlot(view) {
    const {data: {sweep}, sweepChoice: choice, theme} = view;
    const along = sweep.axes[choice.along];
    const across = choice.across === null ? null : sweep.axes[choice.across];
    const quantity = sweep.quantities[choice.quantity];
    const layout = {...baseLayout(view, view.narrow ? 380 : 480), margin: {l: 52, r: 12, t: 16, b: 48},
      xaxis: sweepAxisLayout(theme, along, {showgrid: false}),
      yaxis: choice.map ? sweepAxisLayout(theme, across, {showgrid: false})
        : axis(theme, {title: axisTitle(quantityLabel(quantity)), type: quantity.logarithmic ? "log" : "linear",
          ...(quantity.logarithmic ? {dtick: "D2"} : {})})};
    const fixedAxes = sweep.axes.filter((_, i) => i !== choice.along && i !== choice.across)
      .map((one) => `${one.name} ${valueLabel(one, choice.at[sweep.axes.indexOf(one)])}`);
    const caption = `${quantity.title} along ${along.name}` +
      (across ? choice.map ? ` and ${across.name}, as a map` : `, a line for each ${across.name}` : "") +
      (fixedAxes.length ? `, at ${fixedAxes.join(", ")}` : "") + ".";
    const key = choice.map || !across ? [] : across.values.slice(0, kMostLines)
      .map((_, i) => keyEntry("line", `curve rig-${i}`, valueLabel(across, i)));
    return {traces: choice.map ? sweepMap(view, sweep, choice) : sweepLines(view, sweep, choice), layout, caption, key,
      beside: sweepTable(sweep, choice),
      buttons: ["zoom2d", "pan2d", "resetScale2d", "toImage"]};
  }

  // The selects of a sweep, built anew after each choice because the axes left over change with it.
  function sweepControls(holder, sweep, choice, changed) {
    const axisOption = (i) => ({value: String(i), text: sweep.axes[i].name});
    const all = sweep.axes.map((_, i) => i);
    const others = all.filter((i) => i !== choice.along);
    const acrossOptions = [{value: "none", text: "nothing"}, ...others.flatMap((i) => [
      ...(sweep.axes[i].values.length <= kMostLines ? [{value: `lines ${i}`, text: `a line for each ${sweep.axes[i].name}`}] : []),
      {value: `map ${i}`, text: `a map over ${sweep.axes[i].name}`}])];
    const acrossValue = choice.across === null ? "none" : `${choice.map ? "map" : "lines"} ${choice.across}`;
    const update = (change) => {
      const focused = document.activeElement?.id;
      Object.assign(choice, change);
      sweepControls(holder, sweep, choice, changed);
      if (focused) document.getElementById(focused)?.focus();
      changed();
    };
    const chooseAlong = (value) => {
      const along = Number(value);
      const clash = choice.across === along;
      const free = all.find((i) => i !== along && sweep.axes[i].values.length <= kMostLines) ?? null;
      update({along, ...(clash ? {across: free, map: false} : {})});
    };
    const chooseAcross = (value) => {
      const [kind, index] = value.split(" ");
      update({across: kind === "none" ? null : Number(index), map: kind === "map"});
    };
    const selects = [
      labelledSelect("sweep-quantity", "Quantity", sweep.quantities.map((quantity, i) => ({value: String(i), text: quantityLabel(quantity)})),
        String(choice.quantity), (value) => update({quantity: Number(value)})),
      labelledSelect("sweep-along", "Along", all.map(axisOption), String(choice.along), chooseAlong),
      labelledSelect("sweep-across", "Show", acrossOptions, acrossValue, chooseAcross),
      ...others.filter((i) => i !== choice.across).map((i) => labelledSelect(`sweep-at-${i}`, sweep.axes[i].name,
        sweep.axes[i].values.map((_, k) => ({value: String(k), text: valueLabel(sweep.axes[i], k)})), String(choice.at[i]),
        (value) => update({at: choice.at.map((old, k) => k === i ? Number(value) : old)}))),
    ];
    holder.replaceChildren(...selects);
  }

  // ---------------------------------------------------------------------------------------- putting it together

  const kPlots = {swr: swrPlot, impedance: impedancePlot, smith: smithPlot, power: powerPlot, elevation: elevationPlot,
    azimuth: azimuthPlot, drawing: drawingPlot, sweep: sweepPlot};

  const state = {data: null, band: null, rig: 0, sweepChoice: null, figures: []};

  function viewFor(chart) {
    const width = chart.clientWidth || 360;
    return {...state, theme: readTheme(), width, narrow: width < 520, touch: matchMedia("(pointer: coarse)").matches};
  }

  // The live half of a figure: a chart, what stands beside it, and a caption that changes with the choice.
  function makeLive(figure) {
    const plot = figure.querySelector(".plot");
    const still = figure.querySelector("figcaption");
    const chart = element("div", {className: "chart"});
    const beside = element("div", {className: "beside"});
    chart.setAttribute("role", "group");  // not "img": the plot has buttons
    const key = element("ul", {className: "key"});
    plot.append(element("div", {className: "live"}, chart, beside, key));
    const words = element("span", {className: "live"});
    if (still) {
      still.replaceChildren(element("span", {className: "still"}, ...still.childNodes), words);
    }
    return {figure, kind: figure.dataset.plot, chart, beside, key, words, stillWords: still?.textContent.trim() ?? ""};
  }

  async function drawFigure(one) {
    one.figure.classList.add("is-live");
    const view = viewFor(one.chart);
    const {traces, layout, buttons, caption = one.stillWords, beside = null, key = []} = kPlots[one.kind](view);
    one.words.textContent = caption;
    one.chart.setAttribute("aria-label", caption || one.kind);
    one.beside.replaceChildren(...(beside ? [beside] : []));
    openTablesToKeyboard(one.figure);
    one.key.replaceChildren(...key);
    await Plotly.react(one.chart, traces, layout, {...kPlotOptions, modeBarButtons: [buttons], displayModeBar: view.touch ? false : "hover"});
    for (const svg of one.chart.querySelectorAll(".main-svg")) svg.setAttribute("aria-hidden", "true");  // the label says it in words
  }

  // One after the other, with a breath between, so that a phone stays in hand while the page fills.
  async function drawAll(kinds = null) {
    for (const one of state.figures) {
      if (kinds && !kinds.includes(one.kind)) continue;
      await drawFigure(one);
      await new Promise((resume) => setTimeout(resume));
    }
  }

  // Bands that have a pattern, or a current to draw; the still pictures may state theirs as data-band.
  function insertBandSelect() {
    const drawable = (rig, band) => band.pattern || rig.drawing?.wires?.some((wire) => wire.current?.[band.band]);
    const names = [...new Set(state.data.rigs.flatMap((rig) => rig.bands.filter((band) => drawable(rig, band)).map((band) => band.band)))];
    const heading = document.querySelector("#pattern h2") ?? document.querySelector("#drawing h2");
    if (!heading || names.length === 0) return;
    const stated = document.querySelector("figure[data-band]")?.dataset.band;
    state.band = names.includes(stated) ? stated : names[0];
    heading.after(labelledSelect("band-choice", "Band", names.map((name) => ({value: name, text: name})), state.band, (value) => {
      state.band = value;
      drawAll(["elevation", "azimuth", "drawing"]);
    }));
  }

  const canDraw3d = () => Boolean(document.createElement("canvas").getContext("webgl"));

  // A button turns the still drawing into one that can be turned, and back.
  function insertDrawingButton(figure) {
    const drawn = state.data.rigs.map((rig, i) => ({rig, i})).filter(({rig}) => rig.drawing?.wires?.length);
    if (drawn.length === 0 || !canDraw3d()) return;
    state.rig = drawn[0].i;
    const button = element("button", {type: "button", id: "drawing-3d"}, "Show in 3-D");
    const controls = element("div", {className: "choices"}, element("p", {className: "choice"}, button));
    const choice = drawn.length < 2 ? null : labelledSelect("drawing-rig", "Rig",
      drawn.map(({rig, i}) => ({value: String(i), text: rig.name})), String(state.rig), (value) => {
        state.rig = Number(value);
        drawAll(["drawing"]);
      });
    let live = null;
    button.addEventListener("click", async () => {
      if (live && state.figures.includes(live)) {
        state.figures.splice(state.figures.indexOf(live), 1);
        figure.classList.remove("is-live");
        button.textContent = "Show in 3-D";
        choice?.remove();
        return;
      }
      live ??= makeLive(figure);
      state.figures.push(live);
      button.textContent = "Show the still drawing";
      if (choice) controls.append(choice);
      await drawFigure(live);
    });
    figure.before(controls);
  }

  function insertSweepControls(figure) {
    state.sweepChoice = firstChoice(state.data.sweep);
    const holder = element("div", {className: "choices"});
    figure.before(holder);
    sweepControls(holder, state.data.sweep, state.sweepChoice, () => drawAll(["sweep"]));
  }

  // Light, dark and the width of the window change the drawing, not the data.
  function followTheWindow() {
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => drawAll());
    let width = window.innerWidth;
    let timer = 0;
    window.addEventListener("resize", () => {
      clearTimeout(timer);
      timer = setTimeout(() => {
        if (window.innerWidth === width) return;
        width = window.innerWidth;
        drawAll();
      }, 200);
    });
  }

  // Wide tables scroll; let the keyboard reach them.
  function openTablesToKeyboard(holder) {
    for (const wide of holder.querySelectorAll(".wide")) {
      const label = wide.closest("section")?.querySelector("h2")?.textContent ?? "numbers";
      wide.tabIndex = 0;
      wide.setAttribute("role", "region");
      wide.setAttribute("aria-label", `${label}, table`);
    }
  }

  // Puts the plot library into the page; false when this browser or this page cannot.
  async function unpackPlots() {
    const packed = document.getElementById("plots")?.textContent.trim();
    if (!packed || typeof DecompressionStream === "undefined") return false;
    try {
      const bytes = Uint8Array.from(atob(packed), (letter) => letter.charCodeAt(0));
      const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream("gzip"));
      document.head.append(element("script", {textContent: await new Response(stream).text()}));
    } catch {
      return false;  // not base64 or not gzip: the still page is complete
    }
    return typeof Plotly !== "undefined";
  }

  const painted = () => new Promise((resume) => requestAnimationFrame(() => setTimeout(resume)));

  function readData() {
    try {
      const data = JSON.parse(document.getElementById("data").textContent);
      return data.format === undefined || data.format === 1 ? data : null;
    } catch {
      return null;
    }
  }

  async function start() {
    openTablesToKeyboard(document);
    state.data = readData();
    if (!state.data) return;
    await painted();
    if (!await unpackPlots()) return;
    state.data.rigs ??= [];
    insertBandSelect();
    for (const figure of document.querySelectorAll("figure[data-plot]")) {
      const kind = figure.dataset.plot;
      if (!(kind in kPlots) || !figure.querySelector(".plot")) continue;
      if (kind === "drawing") {
        insertDrawingButton(figure);
        continue;
      }
      if (kind === "sweep") insertSweepControls(figure);
      if ((kind === "elevation" || kind === "azimuth") && !state.band) continue;
      if (["swr", "impedance", "smith"].includes(kind) && !state.data.rigs.some((rig) => rig.curve?.frequency_hz?.length)) continue;
      state.figures.push(makeLive(figure));
    }
    await drawAll();
    followTheWindow();
  }

  window.pageReady = start();
})();
