#!/bin/sh
# The demo: opens the window on the demo review; without a display runs the chain headless and says
# which files it wrote.
set -eu
program=$1
folder=build/demo
review=$folder/serve-side.review.json
if [ -n "${DISPLAY:-}${WAYLAND_DISPLAY:-}" ]; then
    echo "opening $review; F1 shows the keys"
    exec "$program" "$review"
fi
"$program" facts "$folder/serve-side.mp4" >"$folder/facts.txt"
"$program" measure "$review" >"$folder/readout.txt"
"$program" measure "$review" --json >"$folder/readout.json"
for moment in trophy drop contact; do
    "$program" still "$review" --moment "$moment" -o "$folder/$moment.png" >/dev/null
done
cat "$folder/readout.txt"
echo
echo "There is no display, so the window was not opened. Written, all of it invented demo data:"
for file in serve-side.mp4 serve-side.review.json facts.txt readout.txt readout.json trophy.png drop.png contact.png; do
    echo "  $folder/$file"
done
