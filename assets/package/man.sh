#!/bin/sh
# The manual page of the program: the commands and options come from its own help.
# Usage: man.sh PROGRAM VERSION DATE < serveplumb.1.in
program=$1
plain() { sed 's/\\/\\e/g; s/-/\\-/g; s/^\([.'"'"']\)/\\\&\1/'; }

commands() {
    "$program" help | sed -n 's/^  serveplumb \([a-z][a-z]*\) .*/\1/p' | while read -r name; do
        "$program" help "$name" | plain | awk '
            NR == 1 { split($0, part, ": "); printf ".SS %s\n%s.\n", part[1], substr($0, length(part[1]) + 3); next }
            { left = substr($0, 1, match($0, /  [^ -][^ ]*( [^ ]+)*$/) - 1); sub(/ +$/, "", left); sub(/^ +/, "", left)
              printf ".TP\n.B %s\n%s\n", left, substr($0, RSTART + 2) }'
    done
}

sed -e "s/@VERSION@/$2/g; s/@DATE@/$3/g" | while IFS= read -r line; do
    if [ "$line" = @COMMANDS@ ]; then commands; else printf '%s\n' "$line"; fi
done
