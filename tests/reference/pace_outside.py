"""Megapixels a second of OpenColorIO's CPU processor, on one thread, for the chain that `greywright pace` times.

A measure, not a test: run both on the same machine in the same minute.

    python tests/reference/pace_outside.py
    GREYWRIGHT_ADAPTER=software greywright pace --size 1920x1080 --chain "input-transform encoding=LogC3 \
        | exposure stops=0.5 | white-balance from=3200K | output-transform display=BT.1886 rendering=aces-2.0"
"""

import time

import numpy
import PyOpenColorIO as ocio

WIDTH, HEIGHT, REPEATS = 1920, 1080, 5


def processor():
    chain = ocio.GroupTransform()
    chain.appendTransform(ocio.BuiltinTransform("ARRI_ALEXA-LOGC-EI800-AWG_to_ACES2065-1"))
    # Half a stop, and a white balance that costs what any matrix costs.
    half_a_stop, balance = 2.0**0.5, [0.9, 0.05, 0.05, 0.0, 0.02, 0.95, 0.03, 0.0, 0.01, 0.1, 0.89, 0.0]
    chain.appendTransform(ocio.MatrixTransform([half_a_stop * value for value in balance] + [0.0, 0.0, 0.0, 1.0]))
    rendering = "ACES-OUTPUT - ACES2065-1_to_CIE-XYZ-D65 - SDR-100nit-REC709_2.0"
    chain.appendTransform(ocio.BuiltinTransform(rendering))
    chain.appendTransform(ocio.BuiltinTransform("DISPLAY - CIE-XYZ-D65_to_REC.1886-REC.709"))
    return ocio.Config.CreateRaw().getProcessor(chain)


def main():
    # Every code of ten bits as likely as any other, as `pace` has it.
    codes = numpy.random.default_rng(1).integers(0, 1024, (WIDTH * HEIGHT, 4))
    pixels = (codes / 1023).astype(numpy.float32)
    for name in ["OPTIMIZATION_DEFAULT", "OPTIMIZATION_LOSSLESS"]:
        cpu = processor().getOptimizedCPUProcessor(ocio.BIT_DEPTH_F32, ocio.BIT_DEPTH_F32, getattr(ocio, name))
        wall, own = [], []
        for _ in range(REPEATS):
            picture = ocio.PackedImageDesc(pixels.copy(), WIDTH, HEIGHT, 4)
            started, ran = time.perf_counter(), time.thread_time()
            cpu.apply(picture)
            wall.append(time.perf_counter() - started)
            own.append(time.thread_time() - ran)
        rate = WIDTH * HEIGHT / 1e6
        print(f"{name}: {rate / min(wall):.2f} megapixels a second, {rate / min(own):.2f} of the thread's own time")


if __name__ == "__main__":
    main()
