#!/bin/sh
# Report pages in a browser. Usage: run.sh FELDSPAR [DIRECTORY for screenshots and PDFs]
# Makes pages with the program, and one of a large sweep with invented numbers, and checks each of them. Fetches the two
# npm packages of package.json when they are not there. Ends with 77 where there is no browser, node, npm or pdftotext
# (Debian: chromium, nodejs, npm, poppler-utils).
set -eu
here=$(cd "$(dirname "$0")" && pwd)
feldspar=$1
for tool in "${CHROMIUM:-chromium}" node npm pdftotext; do
  command -v "$tool" >/dev/null || { echo "skipped: $tool is not installed"; exit 77; }
done
[ -d "$here/node_modules/playwright-core" ] || (cd "$here" && npm ci --ignore-scripts --no-audit --no-fund)
pages=$(mktemp -d)
trap 'rm -rf "$pages"' EXIT
"$feldspar" models inverted-v --output "$pages/hostile.toml"
sed -i 's|^title = .*|title = "</script><img src=x onerror=alert(1)> on the lawn"|' "$pages/hostile.toml"
"$feldspar" report "$pages/hostile.toml" --soil-band --bands 80m,40m,20m,10m --output "$pages/one.html"
"$feldspar" report whip-stake-radials --versus radial_count=16 --output "$pages/two.html"
"$feldspar" sweep radials --output "$pages/radials.h5"
"$feldspar" report "$pages/radials.h5" --output "$pages/radials.html"
node "$here/fixture.mjs" "$pages/invented"
mv "$pages/invented/sweep.html" "$pages"
status=0
for page in "$pages"/*.html; do
  node "$here/check_page.mjs" "$page" ${2:+--screenshots "$2"} || status=1
done
exit $status
