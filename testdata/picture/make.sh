#!/bin/sh
# Makes the pictures of the page at the top of the README, light and dark, from
# the page itself. Needs chromium and curl. Run it from the top of the checkout:
#
#	testdata/picture/make.sh
set -eu
scratch=$(mktemp -d)
port=18093
go build -o "$scratch/reedlark" ./cmd/reedlark
"$scratch/reedlark" serve --listen "127.0.0.1:$port" 2>"$scratch/log" &
server=$!
trap 'kill "$server"; wait "$server" || true; rm -rf "$scratch"' EXIT
until curl -sf "http://127.0.0.1:$port/readyz" >/dev/null; do sleep 0.1; done

# percent writes a page of tab for an address.
percent() { od -An -v -tx1 "$1" | tr -d ' \n' | sed 's/../%&/g'; }

for scheme in dark light; do
    [ "$scheme" = dark ] && preferred=0 || preferred=1
    chromium --headless --no-sandbox --disable-gpu --hide-scrollbars --user-data-dir="$scratch/$scheme" \
        --blink-settings=preferredColorScheme=$preferred --force-device-scale-factor=1 --window-size=1080,700 \
        --virtual-time-budget=10000 --screenshot="testdata/picture/page-$scheme.png" \
        "http://127.0.0.1:$port/?tab=$(percent testdata/picture/tune.txt)" 2>>"$scratch/log"
done
