#!/bin/sh
# Makes the Python environment of the outside checks, outside the tree, and prints the path of its interpreter.
# The folder is $SPRINGLINE_OUTSIDE, else springline-outside in the user's cache folder; made once, then reused.
set -eu
here=$(cd "$(dirname "$0")" && pwd)
folder=${SPRINGLINE_OUTSIDE:-${XDG_CACHE_HOME:-$HOME/.cache}/springline-outside}
stamp=$folder/requirements.txt
if ! cmp -s "$here/requirements.txt" "$stamp"; then
    python=${PYTHON:-python3.11}
    "$python" -m venv "$folder" >&2
    "$folder/bin/python" -m pip install --quiet --disable-pip-version-check -r "$here/requirements.txt" >&2
    cp "$here/requirements.txt" "$stamp"
fi
echo "$folder/bin/python"
