#!/usr/bin/env python3
"""Times cold exact frames of a clip with OpenCV, and with PyAV where it is installed: the peers of
`cargo bench --bench footage`, on the same frames. Each frame: open, seek to the key before it, decode up to it.

usage: scripts/seek-peers.py CLIP [NAME]; prints rows of the table of that benchmark
"""
import sys
import time


def frames(count, total):
    return [(index * 7919 + 31) % total for index in range(count)]


def says(what, times):
    times = sorted(times)
    at = lambda share: times[(len(times) - 1) * share // 100] * 1e3
    name = f", {sys.argv[2]}" if len(sys.argv) > 2 else ""
    print(f"| the same by {what}{name} | {at(50):.2f} ms | {at(95):.2f} ms | {at(100):.2f} ms | {len(times)} |")


def opencv(path):
    import cv2

    total = int(cv2.VideoCapture(path).get(cv2.CAP_PROP_FRAME_COUNT))
    times = []
    for frame in frames(20, total):
        start = time.perf_counter()
        capture = cv2.VideoCapture(path)
        capture.set(cv2.CAP_PROP_POS_FRAMES, frame)
        assert capture.read()[0]
        times.append(time.perf_counter() - start)
    says(f"OpenCV {cv2.__version__}", times)


def pyav(path):
    try:
        import av
    except ImportError:
        print("| PyAV is not installed | | | | |")
        return
    with av.open(path) as container:
        times_of = sorted(packet.pts for packet in container.demux(video=0) if packet.pts is not None)
    times = []
    for frame in frames(20, len(times_of)):
        start = time.perf_counter()
        with av.open(path) as container:
            stream = container.streams.video[0]
            container.seek(times_of[frame], stream=stream)
            found = next(picture for picture in container.decode(stream) if picture.pts >= times_of[frame])
            assert found.pts == times_of[frame]
            found.to_ndarray()
        times.append(time.perf_counter() - start)
    says(f"PyAV {av.__version__}", times)


if __name__ == "__main__":
    opencv(sys.argv[1])
    pyav(sys.argv[1])
