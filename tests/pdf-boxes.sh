#!/usr/bin/env bash
# Fails when a word of a PDF report stands outside its page's margins, when two words stand on each other, or when a page has no words.
# Needs pdftotext (Debian package poppler-utils).
# Usage: tests/pdf-boxes.sh FILE.pdf …
set -euo pipefail
[ $# -gt 0 ] || { echo "which files?" >&2; exit 2; }

failed=0
for file in "$@"; do
    pdftotext -bbox "$file" - | awk -v file="$(basename "$file")" '
        # Margins in points: 20 mm at the sides less a side bearing; above, letters reach over the cap height; below, 9 mm for any printer.
        BEGIN { side = 20 * 72 / 25.4 - 1; top = 40; foot = 9 * 72 / 25.4 }
        function number(name) {
            match($0, name "=\"[-0-9.e]*\"")
            return substr($0, RSTART + length(name) + 2, RLENGTH - length(name) - 3) + 0
        }
        function words(name) { sub(/.*">/, ""); sub(/<\/word>.*/, ""); return substr($0, 1, 40) }
        function say(what) { if (++wrong <= 10) print "  " file ", page " page ": " what }
        function close_page() { if (page && n == 0) say("no words") }
        /<page / { close_page(); page++; n = 0; wide = number("width"); high = number("height") }
        /<word / {
            n++; seen++
            x0[n] = number("xMin"); x1[n] = number("xMax"); y0[n] = number("yMin"); y1[n] = number("yMax")
            text[n] = words()
            if (x0[n] < side || x1[n] > wide - side || y0[n] < top || y1[n] > high - foot)
                say(sprintf("\"%s\" stands outside the margins: %.1f to %.1f across, %.1f to %.1f down, on %.1f × %.1f", text[n], x0[n], x1[n], y0[n], y1[n], wide, high))
            # Boxes are as high as the type; letters fill about the middle half.
            for (i = 1; i < n; i++) {
                a = (y0[i] > y0[n] ? y0[i] : y0[n]); b = (y1[i] < y1[n] ? y1[i] : y1[n])
                low = (y1[i] - y0[i] < y1[n] - y0[n] ? y1[i] - y0[i] : y1[n] - y0[n])
                if (b - a < low / 2) continue
                a = (x0[i] > x0[n] ? x0[i] : x0[n]); b = (x1[i] < x1[n] ? x1[i] : x1[n])
                if (b - a > 1) say("\"" text[n] "\" stands on \"" text[i] "\"")
            }
        }
        END {
            close_page()
            if (!page) { print "  " file ": no pages"; wrong++ }
            printf "%s: %d pages, %d words%s\n", file, page, seen, wrong ? ", " wrong " amiss" : ""
            exit wrong > 0
        }' || failed=1
done
exit $failed
