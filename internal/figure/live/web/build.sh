#!/bin/sh
# Builds the chart runtime and the licences of what is in it into the folder
# that is given. Same manifest, same bytes.
set -eu
cd "$(dirname "$0")"
out=$1
mkdir -p "$out"
node_modules/.bin/esbuild entry.js --bundle --minify --format=iife --global-name=echarts --target=es2018 \
  --charset=ascii --legal-comments=inline '--define:process.env.NODE_ENV="production"' --log-level=warning \
  --outfile="$out/echarts.js.new"
{
  for part in echarts zrender tslib; do
    for text in LICENSE LICENSE.txt NOTICE CopyrightNotice.txt; do
      [ -f "node_modules/$part/$text" ] || continue
      printf '%s %s: %s\n\n' "$part" "$(node -p "require('./node_modules/$part/package.json').version")" "$text"
      cat "node_modules/$part/$text"
      printf '\n\n'
    done
  done
  for text in node_modules/echarts/licenses/*; do
    printf 'echarts: %s\n\n' "$(basename "$text")"
    cat "$text"
    printf '\n\n'
  done
} > "$out/licences.txt"
# The script last and in one step: where it is, all of it is there.
mv "$out/echarts.js.new" "$out/echarts.js"
