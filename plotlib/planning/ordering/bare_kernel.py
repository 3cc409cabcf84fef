"""Numbers at an address, for the innermost loops.

A compiled function that hands arrays to another counts their references with locked instructions
and corrects every index for its sign; in loops of a few nanoseconds that is most of the time
(measured here: three quarters). The search therefore works on addresses. The caller holds the
arrays, and nothing checks a bound: only the kernels of this room may use it.

No algorithm: one machine instruction each, built by numba's ``intrinsic`` (its documentation,
"Notes on writing intrinsics", from memory). ``small`` is int32, ``whole`` int64, ``real`` float64;
an index counts items, not bytes. What is kept by these is compared with plain lists after every
move in ``tests/planning/ordering/test_reconnections.py`` and ``test_search.py``.
"""

from __future__ import annotations

from typing import Any

from llvmlite import ir
from numba.core import types
from numba.extending import intrinsic


def _pointer(builder: Any, address: Any, index: Any, kind: Any) -> Any:
    return builder.gep(builder.inttoptr(address, kind.as_pointer()), [index])


def _reader(kind: Any, result: Any) -> Any:
    def reader(typing_context: Any, address: Any, index: Any) -> Any:
        def code(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
            value = builder.load(_pointer(builder, arguments[0], arguments[1], kind))
            return builder.sext(value, ir.IntType(64)) if kind == ir.IntType(32) else value

        return result(types.int64, types.int64), code

    return intrinsic(reader)


def _writer(kind: Any, accepted: Any) -> Any:
    def writer(typing_context: Any, address: Any, index: Any, value: Any) -> Any:
        def code(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
            number = builder.trunc(arguments[2], kind) if kind == ir.IntType(32) else arguments[2]
            builder.store(number, _pointer(builder, arguments[0], arguments[1], kind))
            return context.get_dummy_value()

        return types.void(types.int64, types.int64, accepted), code

    return intrinsic(writer)


small_at = _reader(ir.IntType(32), types.int64)
whole_at = _reader(ir.IntType(64), types.int64)
real_at = _reader(ir.DoubleType(), types.float64)
put_small = _writer(ir.IntType(32), types.int64)
put_whole = _writer(ir.IntType(64), types.int64)
put_real = _writer(ir.DoubleType(), types.float64)
