#!/bin/sh
# Derives people.onnx.gz and points.onnx.gz anew: derive.sh FOLDER. See README.md beside this.
# Needs npm, Python 3.11 with venv, about 2 GB for TensorFlow.
set -eu
[ $# -eq 1 ] || { echo "usage: $0 FOLDER" >&2; exit 2; }
here=$(cd "$(dirname "$0")" && pwd)
mkdir -p "$1"
cd "$1"
[ -x venv/bin/python ] || "${PYTHON:-python3.11}" -m venv venv
venv/bin/pip install --quiet tensorflow-cpu==2.19.1 tf2onnx==1.17.0 onnx==1.22.0
npm pack --silent @mediapipe/pose@0.5.1675469404
tar xzf mediapipe-pose-0.5.1675469404.tgz
# The packed assets of the solution are the people network, whole.
cp package/pose_solution_packed_assets.data sparse.tflite
cp package/pose_landmark_full.tflite points.tflite
venv/bin/python "$here/dense.py" sparse.tflite people.tflite
for model in people points; do
    venv/bin/python -m tf2onnx.convert --tflite $model.tflite --output $model.onnx --opset 13
    venv/bin/python "$here/plain.py" $model.onnx $model.onnx.gz
done
sha256sum people.onnx.gz points.onnx.gz
