#!/usr/bin/env bash
# Opens the real window under a virtual display, drags each of the three levers with a synthetic pointer, scrubs through time, pins, applies advice,
# opens the editor, kills a window with unsaved changes, opens each shipped scenario, and keeps screenshots.
#
# Fails if the program printed an error, if the final-rinse figure that it reports after a drag differs in three digits from `dragback settle`
# with the same value, if the curve of the last station did not move the right way on the screen, if the cursor does not stand where it was put,
# if pinning or advice did not do what they say, if unsaved changes are not offered again, or if the first picture comes late.
# Needs Xvfb, xdotool and ImageMagick (see .ci/run). Usage: tests/real-window.sh [program]
set -euo pipefail
cd "$(dirname "$0")/.."

program=${1:-target/release/dragback}
shots=${SHOTS:-target/real-window}
case $shots in /*) home=$shots/home ;; *) home=$PWD/$shots/home ;; esac
size=${SIZE:-1280x800}
report=$shots/report.jsonl
errors=$shots/errors.txt
rm -rf "$shots"
mkdir -p "$shots"

say() { printf '%s\n' "$*"; }
fail() {
    say "FAILED: $*"
    [ -s "$errors" ] && sed 's/^/  window said: /' "$errors" | head -20
    exit 1
}

# A virtual display on the first free number.
for number in $(seq 90 190); do
    [ -e "/tmp/.X11-unix/X$number" ] || [ -e "/tmp/.X$number-lock" ] || break
done
Xvfb ":$number" -screen 0 "${size}x24" +extension GLX -noreset >/dev/null 2>&1 &
xvfb=$!
export DISPLAY=":$number"
window=
clean_up() {
    [ -n "$window" ] && kill "$window" 2>/dev/null
    kill "$xvfb" 2>/dev/null
    wait 2>/dev/null
}
trap clean_up EXIT
for _ in $(seq 50); do
    [ -e "/tmp/.X11-unix/X$number" ] && break
    sleep 0.1
done

started=
open_window() { # arguments of the program
    # A home of its own: neither preferences nor what another window left are in the way.
    rm -rf "$home"
    mkdir -p "$home"
    open_again "$@"
}
open_again() { # as open_window, with what the last window left
    : >"$report"
    started=$(date +%s%N)
    HOME="$home" XDG_CONFIG_HOME="$home" "$program" --window-report "$report" "$@" >>"$shots/out.txt" 2>>"$errors" &
    window=$!
    wait_for 30 '"layout"'
}
close_window() {
    kill "$window" 2>/dev/null
    wait "$window" 2>/dev/null || true
    window=
}

wait_for() { # seconds, words to look for
    local left=$((10 * $1))
    until grep -q "$2" "$report" 2>/dev/null; do
        kill -0 "$window" 2>/dev/null || fail "the window closed by itself"
        left=$((left - 1))
        [ "$left" -gt 0 ] || fail "no $2 within $1 s"
        sleep 0.1
    done
}

lines() { wc -l <"$report" 2>/dev/null || echo 0; }

# Waits until the report has grown past $1 lines and then been still for a second.
wait_still() {
    local old=$1 left=150 now last=-1 still=0
    while :; do
        now=$(lines)
        if [ "$now" -gt "$old" ] && [ "$now" -eq "$last" ]; then
            still=$((still + 1))
            [ "$still" -ge 10 ] && return
        else
            still=0
        fi
        last=$now
        left=$((left - 1))
        [ "$left" -gt 0 ] || fail "no answer to the lever within 15 s"
        sleep 0.1
    done
}

numbers() { grep -o -- '-\?[0-9][0-9.eE+-]*' | tr '\n' ' '; }
layout_list() { # name: the numbers of a list of that name in the last layout
    grep '"layout"' "$report" | tail -1 | grep -o "\"$1\":\[[^]]*\]" | sed 's/^[^[]*//' | numbers
}
lever_of() { # lever number from 0: its path and rail
    grep '"layout"' "$report" | tail -1 | grep -o '{"handle_px":[^}]*}' | sed -n "$(($1 + 1))p"
}
three() { printf '%.3g' "$1"; }
film_by_settle() { film_of scenarios/demo.ron "$@"; }
film_of() { "$program" settle "$@" --json - | grep -o '"film_mg_per_l": *[0-9.eE+-]*' | head -1 | sed 's/.*: *//'; }

# Strength of nickel in the holding tank of the demo, g/L.
holding_by_settle() {
    "$program" settle scenarios/demo.ron "$@" --json - | awk '
        /"name": "holding tank"/ { here = 1 }
        here && /"Ni":/ { gsub(/[",]/, ""); print $2; exit }'
}

# Mean height of a tank's curve over the right part of the concentration plot, pixels from the top.
curve_height() { # picture, final_station or holding_tank
    read -r left top right bottom <<<"$(layout_list concentration_plot_px)"
    read -r red green blue <<<"$(layout_list "$2_rgb")"
    local x y w h
    w=$(awk "BEGIN{printf \"%d\", ($right-$left)*0.45}")
    h=$(awk "BEGIN{printf \"%d\", $bottom-$top}")
    x=$(awk "BEGIN{printf \"%d\", $left+($right-$left)*0.4}")
    y=$(awk "BEGIN{printf \"%d\", $top}")
    convert "$1" -crop "${w}x${h}+${x}+${y}" +repage -depth 8 txt:- | awk -v r="$red" -v g="$green" -v b="$blue" '
        function near(a, c) { d = a - c; return d < 26 && d > -26 }
        /^[0-9]/ {
            split($1, at, /[,:]/); split($2, c, /[(),]/)
            if (near(c[2], r) && near(c[3], g) && near(c[4], b)) { s += at[2]; n++ }
        }
        END { if (n < 20) print "none"; else printf "%.2f\n", s / n }'
}

drag_lever() { # number of the lever, share of its rail: drags it there; `path` is its path then
    local lever hx hy left top right bottom to step
    lever=$(lever_of "$1")
    path=$(sed 's/.*"path":"\([^"]*\)".*/\1/' <<<"$lever")
    read -r hx hy left top right bottom <<<"$(sed 's/"path":"[^"]*"//' <<<"$lever" | numbers)"
    [ -n "${bottom:-}" ] || fail "the layout does not say where lever $1 is"
    to=$(awk "BEGIN{printf \"%d\", $left+($right-$left)*$2}")
    hx=${hx%.*} hy=${hy%.*}
    xdotool mousemove "$hx" "$hy"; sleep 0.15
    xdotool mousedown 1; sleep 0.15
    for step in 1 2 3 4 5 6; do
        xdotool mousemove $((hx + (to - hx) * step / 6)) "$hy"; sleep 0.15
    done
    xdotool mouseup 1
}
press() { # x, y
    xdotool mousemove "${1%.*}" "${2%.*}"; sleep 0.2
    xdotool mousedown 1; sleep 0.15
    xdotool mouseup 1; sleep 0.2
}
place_of() { # name of a thing: left, middle, right, and the height of its middle
    grep '"layout"' "$report" | tail -1 | grep -o "\"$1\":\[[^]]*\]" | sed 's/^[^[]*//' | numbers
}
state_of() { # key: what was last said of it
    { grep '"state"' "$report" || true; } | tail -1 | grep -o "\"$1\":[^,}]*" | sed 's/^[^:]*://; s/"//g'
}
wait_state() { # key, awk condition on v, what it is
    local left=100
    until awk -v v="$(state_of "$1")" "BEGIN{exit !($2)}"; do
        left=$((left - 1))
        [ "$left" -gt 0 ] || fail "$3: $1 is $(state_of "$1")"
        sleep 0.1
    done
}
# The answer that was told last agrees with the terminal's for the same changes.
agrees() { # file of the scenario
    local answer shown change sets=()
    answer=$(grep '"final_rinse_film_mg_per_l"' "$report" | tail -1)
    shown=$(sed 's/.*"final_rinse_film_mg_per_l":\([0-9.eE+-]*\|null\).*/\1/' <<<"$answer")
    while read -r change; do sets+=(--set "$change"); done < <(grep -o '"set":\[[^]]*\]' <<<"$answer" | sed 's/^"set":\[//; s/\]$//' | grep -o '"[^"]*"' | tr -d '"')
    told=$(film_of "$1" "${sets[@]}" || true)
    [ -n "$told" ] || fail "settle gave no answer for $1 ${sets[*]}"
    [ "$(three "$shown")" = "$(three "$told")" ] || fail "$1: the window says $shown mg/L, settle says $told mg/L (${sets[*]})"
}

open_window
first_ms=$((($(date +%s%N) - started) / 1000000))
say "start to the first picture with curves: $first_ms ms (wanted 1000)"
[ "$first_ms" -le 3000 ] || fail "the first picture took $first_ms ms"
sleep 2
import -window root "$shots/0-start.png"
before_height=$(curve_height "$shots/0-start.png" final_station)
[ "$before_height" != none ] || fail "the curve of the last station is not on the screen at the start"
before_film=$(film_by_settle || true)
say "start: film $before_film mg/L, curve at $before_height px"

# Whether a curve went where its value went: values before and after, heights before and after.
went() {
    awk -v a="$1" -v b="$2" -v y0="$3" -v y1="$4" 'BEGIN{
        rise = b / a - 1; up = y0 - y1
        if (rise > 0.05) print (up > 0.5 ? "right" : "wrong")
        else if (rise < -0.05) print (up < -0.5 ? "right" : "wrong")
        else print ((up < 4 && up > -4) ? "right" : "wrong") }'
}

names=(drag-out rinse-rate heat-input)
places=(0.72 0.62 0.35)
for i in 0 1 2; do
    old=$(lines)
    drag_lever "$i" "${places[$i]}"
    wait_still "$old"
    sleep 1
    shot=$shots/$((i + 1))-${names[$i]}.png
    import -window root "$shot"
    answer=$(grep '"final_rinse_film_mg_per_l"' "$report" | tail -1)
    grep -q "\"lever\":\"$path\"" <<<"$answer" || fail "the last answer is not of $path: $answer"
    shown=$(sed 's/.*"final_rinse_film_mg_per_l":\([0-9.eE+-]*\).*/\1/' <<<"$answer")
    # Every lever moved so far, as the window wrote it.
    sets=()
    while read -r change; do sets+=(--set "$change"); done < <(grep -o '"set":\[[^]]*\]' <<<"$answer" | sed 's/^"set":\[//; s/\]$//' | grep -o '"[^"]*"' | tr -d '"')
    told=$(film_by_settle "${sets[@]}" || true)
    [ -n "$told" ] || fail "settle gave no answer for ${sets[*]}"
    [ "$(three "$shown")" = "$(three "$told")" ] || fail "$path: the window says $shown mg/L, settle says $told mg/L (${sets[*]})"
    height=$(curve_height "$shot" final_station)
    [ "$height" != none ] || fail "after $path the curve of the last station is gone"
    verdict=$(went "$before_film" "$told" "$before_height" "$height")
    say "$path: film $before_film -> $told mg/L, curve $before_height -> $height px, $verdict"
    [ "$verdict" = right ] || fail "$path: the curve moved the wrong way"
    before_film=$told
    before_height=$height
    # Heat hardly moves the final rinse; what it moves is the strength that the evaporator leaves in the holding tank.
    holding=$(holding_by_settle "${sets[@]}" || true)
    holding_height=$(curve_height "$shot" holding_tank)
    if [ "$i" = 2 ]; then
        verdict=$(went "$before_holding" "$holding" "$before_holding_height" "$holding_height")
        say "$path: holding tank $before_holding -> $holding g/L, curve $before_holding_height -> $holding_height px, $verdict"
        [ "$verdict" = right ] || fail "$path: the curve of the holding tank moved the wrong way"
        awk "BEGIN{x = $holding / $before_holding - 1; exit !(x > 0.05 || x < -0.05)}" || fail "$path: it moves nothing that can be seen"
    fi
    before_holding=$holding
    before_holding_height=$holding_height
done

kill -0 "$window" 2>/dev/null || fail "the window closed by itself"
close_window

# Time: a click on the strip puts the cursor there, a drag takes it along, Escape gives the settled week back.
open_window
sleep 2
read -r left _ right y <<<"$(place_of timeline)"
[ -n "${y:-}" ] || fail "the layout does not say where the strip of time is"
at() { awk "BEGIN{printf \"%d\", $left+($right-$left)*$1}"; }
press "$(at 0.5)" "$y"
wait_state cursor_day 'v != "null" && v > 44 && v < 46' "a click in the middle of 90 days"
xdotool mousedown 1; sleep 0.15
for share in 0.55 0.6 0.65 0.7 0.75; do xdotool mousemove "$(at $share)" "${y%.*}"; sleep 0.15; done
xdotool mouseup 1
wait_state cursor_day 'v > 66.5 && v < 68.5' "a drag to three quarters"
sleep 0.5
import -window root "$shots/4-scrubbed.png"
xdotool windowfocus "$(xdotool search --onlyvisible --name Dragback | head -1)"
xdotool key Escape
wait_state cursor_day 'v == "null"' "Escape"

# Pin, then advice: it is applied as one change, and the answer is what the terminal says of it.
read -r _ x _ y <<<"$(place_of pin)"
press "$x" "$y"
wait_state is_pinned 'v == "true"' "Pin"
wait_state has_advice 'v == "true"' "advice on the demo"
sleep 0.5
read -r _ x _ y <<<"$(place_of apply)"
[ -n "${y:-}" ] || fail "there is no advice to apply on the demo"
old=$(lines)
press "$x" "$y"
wait_still "$old"
wait_state changes 'v == 1' "advice is one change"
agrees scenarios/demo.ron
awk "BEGIN{exit !($told <= 20.0)}" || fail "with the advice applied the final rinse is $told mg/L, over its limit of 20"
sleep 1
import -window root "$shots/5-advice.png"
say "scrubbed, pinned, advice applied: $told mg/L"
close_window

# The editor opens and closes by the keyboard; what was changed before a window was killed is offered by the next one.
focus() { xdotool windowfocus "$(xdotool search --onlyvisible --name Dragback | head -1)"; sleep 0.2; }
open_window
sleep 2
focus
xdotool key ctrl+e
wait_state page 'v == "Editor"' "Ctrl+E"
sleep 1
import -window root "$shots/7-editor.png"
xdotool key Escape
wait_state page 'v == "null"' "Escape in the editor"
old=$(lines)
drag_lever 1 0.4
wait_still "$old"
wait_state changes 'v == 1' "a lever before the window is killed"
left=100
until [ -n "$(find "$home" -name "unsaved-*.json")" ]; do
    left=$((left - 1))
    [ "$left" -gt 0 ] || fail "unsaved changes were not kept within 10 s"
    sleep 0.1
done
sleep 0.5
kill -9 "$window"
wait "$window" 2>/dev/null || true
open_again
wait_state asks 'v == "restore"' "a window after one that was killed"
sleep 1
import -window root "$shots/8-restore.png"
say "the editor opened; changes of a killed window were offered"
close_window

# Every shipped scenario opens, follows its first lever, and answers as the terminal does.
for file in scenarios/*.ron; do
    name=$(basename "$file")
    open_window "$file"
    wait_for 30 "\"scenario\":\"$name\""
    sleep 2
    old=$(lines)
    drag_lever 0 0.6
    wait_still "$old"
    grep '"final_rinse_film_mg_per_l"' "$report" | tail -1 | grep -q "\"lever\":\"$path\"" || fail "$name: no answer for $path"
    agrees "$file"
    sleep 1
    import -window root "$shots/6-${name%.ron}.png"
    say "$name: $path moved, $told mg/L"
    close_window
done

# What software rendering without a graphics card is known to say, and nothing else.
harmless='^(libEGL warning|MESA: warning|MESA-LOADER|libGL|WARNING: lavapipe|error: XDG_RUNTIME_DIR)|failed to (open|load|retrieve) .*(dri|swrast|/dev/dri)|^$'
if grep -vE "$harmless" "$errors" | grep -iE 'error|panic|fail|abort|cannot|refused'; then
    fail "the window printed an error"
fi
say "the real window answers as the terminal does; screenshots in $shots"
