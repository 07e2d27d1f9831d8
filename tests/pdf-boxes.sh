#!/usr/bin/env bash
# Fails when a word of a PDF report stands outside its page's margins, when two words stand on each other, or when a page has no words.
# Needs pdftotext (Debian package poppler-utils).
# Usage: tests/pdf-boxes.sh FILE.pdf …
set -euo pipefail
[ $# -gt 0 ] || {
    echo "which files?" >&2
    exit 2
}

# Reads the boxes of words as pdftotext writes them; the first argument is the name to say.
judge() {
    awk -v file="$1" '
        # Margins in points: 20 mm at the sides less a side bearing; above, boxes reach over the letters; below, 9 mm, which any printer needs.
        BEGIN { side = 20 * 72 / 25.4 - 1; top = 40; foot = 9 * 72 / 25.4 }
        function number(name) {
            match($0, name "=\"[-0-9.e]*\"")
            return substr($0, RSTART + length(name) + 2, RLENGTH - length(name) - 3) + 0
        }
        function word() { sub(/^[^>]*>/, ""); sub(/<\/word>.*/, ""); return substr($0, 1, 40) }
        function least(a, b) { return a < b ? a : b }
        function most(a, b) { return a > b ? a : b }
        function say(what) { if (++wrong <= 10) print "  " file ", page " page ": " what }
        function close_page() { if (page && n == 0) say("no words") }
        /<page / { close_page(); page++; n = 0; wide = number("width"); high = number("height") }
        /<word / {
            n++; seen++
            x0[n] = number("xMin"); x1[n] = number("xMax"); y0[n] = number("yMin"); y1[n] = number("yMax")
            text[n] = word()
            if (x0[n] < side || x1[n] > wide - side || y0[n] < top || y1[n] > high - foot)
                say(sprintf("\"%s\" stands outside the margins: %.1f to %.1f across, %.1f to %.1f down, on %.1f × %.1f", \
                    text[n], x0[n], x1[n], y0[n], y1[n], wide, high))
            # A box is as high as the type; lines that are set close may share a little of it.
            for (i = 1; i < n; i++) {
                shared = least(y1[i], y1[n]) - most(y0[i], y0[n])
                if (shared < least(y1[i] - y0[i], y1[n] - y0[n]) / 2) continue
                if (least(x1[i], x1[n]) - most(x0[i], x0[n]) > 1) say("\"" text[n] "\" stands on \"" text[i] "\"")
            }
        }
        END {
            close_page()
            if (!page) { print "  " file ": no pages"; wrong++ }
            printf "%s: %d pages, %d words%s\n", file, page, seen, wrong ? ", " wrong " amiss" : ""
            exit wrong > 0
        }'
}

page='<page width="595.276" height="841.890">'
word() { printf '<word xMin="%s" yMin="%s" xMax="%s" yMax="%s">trial</word>\n' "$@"; }
must() {
    local wanted=$1 found=well
    printf '%s\n' "$page" "${@:2}" | judge "trial" >/dev/null || found=amiss
    [ $wanted = $found ] || {
        echo "FAILED: this check takes what is $wanted for $found: ${*:2}"
        exit 1
    }
}
must well "$(word 56.7 60 80 72)" "$(word 82 60 99 72)" "$(word 56.7 73 80 85)"
must amiss
must amiss "$(word 50 60 80 72)"
must amiss "$(word 500 60 545 72)"
must amiss "$(word 56.7 30 80 42)"
must amiss "$(word 56.7 810 80 822)"
must amiss "$(word 56.7 60 80 72)" "$(word 78 61 99 73)"
must amiss "$(word 56.7 60 80 72)" "$page"

failed=0
for file in "$@"; do
    # Some versions say on the error stream that a flag of tagged files is of the wrong type; a file that cannot be read has no pages.
    pdftotext -bbox "$file" - 2>/dev/null | judge "$(basename "$file")" || failed=1
done
exit $failed
