#!/bin/sh
# Makes the sample pages and checks each of them. Usage: run.sh [DIRECTORY for screenshots and PDFs]
# Needs `npm ci` once, Chromium and pdftotext (Debian: chromium, poppler-utils). About three minutes on two cores.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
pages=$(mktemp -d)
trap 'rm -rf "$pages"' EXIT
node "$here/fixture.mjs" "$pages"
status=0
for page in "$pages"/*.html; do
  node "$here/check_page.mjs" "$page" ${1:+--screenshots "$1"} || status=1
done
exit $status
