"""Rounds an ONNX model's weights to half precision and packs it: plain.py IN.onnx OUT.onnx.gz

The numbers stay written as 32-bit floats, so that any runtime reads them; the 13 bits that half precision lacks are
zero and cost next to nothing once packed. The same input gives the same bytes.
"""
import gzip
import sys

import numpy as np
import onnx
from onnx import numpy_helper

model = onnx.load(sys.argv[1])
worst = 0.0
for tensor in model.graph.initializer:
    if tensor.data_type != onnx.TensorProto.FLOAT:
        continue
    exact = numpy_helper.to_array(tensor)
    half = exact.astype(np.float16)
    if not np.isfinite(half).all():
        continue
    rounded = half.astype(np.float32)
    worst = max(worst, float(np.abs(rounded - exact).max(initial=0.0)))
    tensor.CopyFrom(numpy_helper.from_array(rounded, tensor.name))
model.ClearField("metadata_props")
model.producer_name, model.producer_version, model.doc_string = "", "", ""
for node in model.graph.node:
    node.doc_string = ""
data = model.SerializeToString(deterministic=True)
with open(sys.argv[2], "wb") as file, gzip.GzipFile("", "wb", 9, file, mtime=0) as packed:
    packed.write(data)
print(f"{sys.argv[2]}: largest rounding {worst:.2e}")
