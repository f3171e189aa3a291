#!/bin/sh
# Renders and encodes the named test clips into a folder, leaving out those that are there.
#   tests/film/render.sh FOLDER [NAME...]
# Needs an installed ffmpeg (with libx264 and libx265). Everybody in the clips is made up; see each clip's
# NAME.truth.json (joints and events, native attempt file) and NAME.story.json (which joints are hidden).
set -eu
[ $# -ge 1 ] || { echo "usage: $0 FOLDER [NAME...]" >&2; exit 2; }
mkdir -p "$1"
out=$(cd "$1" && pwd)
shift
wanted=" $* "
here=$(cd "$(dirname "$0")/../.." && pwd)
cd "$here"
cargo build --release -q -p springline-simulate --example film
film=${CARGO_TARGET_DIR:-$here/target}/release/examples/film

# clip NAME CODEC SIZE RATE OPTIONS...
clip() {
    name=$1 codec=$2 size=$3 rate=$4
    shift 4
    if [ "$wanted" != "  " ]; then
        case $wanted in *" $name "*) ;; *) return 0 ;; esac
    fi
    case $codec in
        h264) set_codec="-c:v libx264 -preset veryfast -profile:v high -bf 2" end=mp4 ;;
        hevc) set_codec="-c:v libx265 -preset veryfast -tag:v hvc1 -x265-params log-level=error" end=mov ;;
    esac
    [ -s "$out/$name.$end" ] && return 0
    # About 17 Mbit/s for 1920 x 1080 at 60 frames a second, by the share of pixels.
    wide=${size%x*} high=${size#*x}
    bits=$((wide * high / 100 * rate * 14 / 1000))
    turn="" rotate=""
    # A phone held upright stores the picture lying and says how to turn it.
    if [ "$high" -gt "$wide" ]; then
        turn="-vf transpose=2" rotate=270
    fi
    "$film" --name "$name" --out "$out" --size "$size" --rate "$rate" --pipe "$@" |
        ffmpeg -v error -y -f rawvideo -pix_fmt rgb24 -video_size "$size" -framerate "$rate" -i - \
            $turn $set_codec -b:v "${bits}k" -g "$rate" -pix_fmt yuv420p -colorspace bt709 \
            -metadata comment="synthetic" -movflags +faststart "$out/$name.part.$end"
    if [ -n "$rotate" ]; then
        ffmpeg -v error -y -i "$out/$name.part.$end" -c copy -metadata:s:v:0 rotate=$rotate \
            -movflags +faststart "$out/$name.turned.$end"
        mv "$out/$name.turned.$end" "$out/$name.part.$end"
    fi
    mv "$out/$name.part.$end" "$out/$name.$end"
}

seed=1
while [ $seed -le 12 ]; do
    side="" rate=60 codec=h264
    [ $((seed % 3)) -eq 0 ] && side=--left
    [ $((seed % 4)) -eq 0 ] && rate=30
    [ $((seed % 4)) -eq 1 ] && codec=hevc
    clip "handspring-$seed" $codec 1920x1080 $rate --seed $seed $side --zoom 0.85 \
        --distance $((6 + seed % 4)) --height "0.$((7 + seed % 3))" --yaw $((seed * 5 % 21 - 10)) --others $((seed % 4))
    seed=$((seed + 1))
done
clip cartwheel h264 1920x1080 60 --drill cartwheel --seed 21
clip handstand h264 1920x1080 30 --drill handstand --seed 22
clip raised-mats hevc 1920x1080 60 --drill handspring-raised-mats --seed 23 --platform 0.5 --zoom 0.85
clip spotter h264 1920x1080 60 --seed 24 --spotter --zoom 0.85
clip portrait hevc 1080x1920 60 --seed 25 --zoom 1.1
clip station h264 1280x720 30 --seed 26 --long 6 --gymnasts 3 --zoom 0.85
