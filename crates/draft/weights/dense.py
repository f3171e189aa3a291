"""Makes the detector's sparse weights dense: dense.py IN.tflite OUT.tflite

The converter to ONNX doesn't know the DENSIFY operator. The interpreter of TensorFlow does: each of its outputs
becomes a constant, the operators go.
"""
import os
import sys

os.environ["TF_CPP_MIN_LOG_LEVEL"] = "3"
import flatbuffers
import numpy as np
import tensorflow as tf
from tensorflow.lite.python import schema_py_generated as schema

source = open(sys.argv[1], "rb").read()
resolver = tf.lite.experimental.OpResolverType.BUILTIN_WITHOUT_DEFAULT_DELEGATES
interpreter = tf.lite.Interpreter(
    model_content=source, experimental_preserve_all_tensors=True, experimental_op_resolver_type=resolver
)
interpreter.allocate_tensors()
shape = interpreter.get_input_details()[0]["shape"]
interpreter.set_tensor(interpreter.get_input_details()[0]["index"], np.zeros(shape, np.float32))
interpreter.invoke()

model = schema.ModelT.InitFromPackedBuf(source, 0)
graph = model.subgraphs[0]


def code(operator):
    entry = model.operatorCodes[operator.opcodeIndex]
    return max(entry.builtinCode, entry.deprecatedBuiltinCode)


kept = []
for operator in graph.operators:
    if code(operator) != schema.BuiltinOperator.DENSIFY:
        kept.append(operator)
        continue
    index = operator.outputs[0]
    buffer = schema.BufferT()
    buffer.data = np.frombuffer(interpreter.get_tensor(index).tobytes(), np.uint8)
    model.buffers.append(buffer)
    graph.tensors[index].buffer = len(model.buffers) - 1
graph.operators = kept

used = {index for operator in kept for index in [*operator.inputs, *operator.outputs]}
for index, tensor in enumerate(graph.tensors):
    if tensor.sparsity is not None and index not in used:
        tensor.buffer = 0
    tensor.sparsity = None
    if index not in used and index not in graph.inputs and index not in graph.outputs:
        tensor.buffer, tensor.shape, tensor.type = 0, np.array([1], np.int32), schema.TensorType.FLOAT32

builder = flatbuffers.Builder(1 << 24)
builder.Finish(model.Pack(builder), file_identifier=b"TFL3")
open(sys.argv[2], "wb").write(builder.Output())
