#!/bin/sh
# Makes plotly.min.js.gz: the part of plotly.js that page.js uses, as one script that defines `Plotly`.
# Usage: make_plotly.sh [DIRECTORY]    the result lands in DIRECTORY (this script's own when not given)
# Needs node >= 18, npm and the npm registry; works in a temporary directory that it removes again.
# The date pins the dependencies of plotly.js too: npm takes no version that was published after it.
set -eu

plotly=3.7.0
esbuild=0.28.2
before=2026-11-27

here=$(cd "$(dirname "$0")" && pwd)
target=$(cd "${1:-$here}" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work"

echo '{"private": true}' > package.json
npm install --silent --no-audit --no-fund --ignore-scripts --save-exact --before="$before" \
    "plotly.js@$plotly" "esbuild@$esbuild"

cat > entry.js <<'JS'
// plotly's core holds the scatter trace already.
const Plotly = require('plotly.js/lib/core');
Plotly.register([
  require('plotly.js/lib/bar'),
  require('plotly.js/lib/heatmap'),
  require('plotly.js/lib/scatter3d'),
  require('plotly.js/lib/scatterpolar'),
  require('plotly.js/lib/scattersmith'),
]);
module.exports = Plotly;
JS

node node_modules/esbuild/bin/esbuild entry.js --bundle --minify --format=iife --global-name=Plotly \
    --define:global=window --target=es2020 --legal-comments=none --log-level=error \
    --metafile=meta.json --outfile=plotly.min.js

# The page puts the script into a <script> element through a Blob, but a page written plainly must hold too.
if grep -qi '</script' plotly.min.js; then
  echo "the bundle contains </script: escape it before use" >&2
  exit 1
fi

gzip -9nc plotly.min.js > "$target/plotly.min.js.gz"

# The licences of everything that went into the bundle, plotly's own first, each package once.
node - > "$target/plotly.LICENSE" <<'JS'
const fs = require('fs');
const path = require('path');
const inputs = Object.keys(JSON.parse(fs.readFileSync('meta.json')).inputs);
const packages = new Set();
for (const input of inputs) {
  const found = input.match(/^.*node_modules\/(?:@[^/]+\/)?[^/]+/);
  if (found) packages.add(found[0]);
}
const ordered = [...packages].sort((a, b) => (b.endsWith('/plotly.js') - a.endsWith('/plotly.js')) || (a < b ? -1 : 1));
const texts = new Map();
for (const dir of ordered) {
  const {name, version, license} = JSON.parse(fs.readFileSync(path.join(dir, 'package.json')));
  const file = fs.readdirSync(dir).find((entry) => /^(licen[cs]e|copying)/i.test(entry));
  const text = file ? fs.readFileSync(path.join(dir, file), 'utf8').replace(/\r/g, '').trim() : `Licence: ${license}`;
  texts.set(text, [...(texts.get(text) ?? []), `${name} ${version} (${license})`]);
}
process.stdout.write('plotly.min.js.gz holds code of these packages, under these licences.\n');
for (const [text, names] of texts) process.stdout.write(`\n${'='.repeat(80)}\n${names.join('\n')}\n\n${text}\n`);
JS

printf 'plotly.min.js     %s bytes  sha256 %s\n' "$(wc -c < plotly.min.js)" "$(sha256sum < plotly.min.js | cut -c1-64)"
printf 'plotly.min.js.gz  %s bytes  sha256 %s\n' "$(wc -c < "$target/plotly.min.js.gz")" "$(sha256sum < "$target/plotly.min.js.gz" | cut -c1-64)"
