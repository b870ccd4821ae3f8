#!/usr/bin/env python3
"""Triangulation on a real recording: four cameras, people moving, a calibration that is not ours.

    python3 scripts/real-recording.py [FOLDER] > clicks.json
    cargo run --example real_recording clicks.json

Fetches the package `pose2sim` 0.10.49 (BSD-3-Clause, David Pagnon and others) by pip into FOLDER, and reads from its
demonstration the calibration of the four cameras, four still pictures and four videos. Nothing of it is kept in this
project. Points:

- still: four white stickers on the treadmill, found by hand, then refined to the centroid of the bright spot;
- moving: the centre of the swimming cap in every tenth frame, by its colour. The cap is no point: its outline as seen
  from different sides has its centre within some centimetres of one place, and the videos' synchronisation is not
  vouched for.

Needs numpy and opencv.
"""

import json
import subprocess
import sys
import zipfile
from pathlib import Path
from xml.etree import ElementTree

import cv2
import numpy as np

YARD_M = 0.9144
folder = Path(sys.argv[1] if len(sys.argv) > 1 else "real-recording")
folder.mkdir(parents=True, exist_ok=True)
demo = folder / "Pose2Sim" / "Demo_SinglePerson"
if not demo.exists():
    fetch = [sys.executable, "-m", "pip", "download", "pose2sim==0.10.49", "--no-deps", "-d", str(folder)]
    subprocess.run(fetch, check=True, stdout=sys.stderr)
    with zipfile.ZipFile(next(folder.glob("pose2sim-*.whl"))) as wheel:
        wheel.extractall(folder, [name for name in wheel.namelist() if "Demo_SinglePerson" in name])


def cameras():
    root = ElementTree.parse(demo / "calibration" / "Calib.qca.txt").getroot()
    for camera in sorted(root.iter("camera"), key=lambda one: one.get("serial")):
        turn, inner = camera.find("transform"), camera.find("intrinsic")
        number = lambda node, name: float(node.get(name))
        # Lengths in the file are 64ths of a pixel; the camera's own axes there are x right, y up, z backward.
        matrix = np.array([[number(turn, f"r{row}{column}") for column in (1, 2, 3)] for row in (1, 2, 3)])
        yield {
            "name": camera.get("serial"),
            "position": [number(turn, axis) / 1000 / YARD_M for axis in "xyz"],
            "matrix": matrix,
            "focal_px": (number(inner, "focalLengthU") + number(inner, "focalLengthV")) / 128,
            "center": [number(inner, "centerPointU") / 64, number(inner, "centerPointV") / 64],
            "k1": number(inner, "radialDistortion1") / 64,
            "k2": number(inner, "radialDistortion2") / 64,
        }


def spot(picture, seed):
    """The centroid of the bright spot about a seed."""
    x, y = seed
    window = picture[y - 9 : y + 10, x - 9 : x + 10].astype(float)
    ground = np.median(window)
    bright = (window > ground + 0.5 * (window.max() - ground)).astype(np.uint8)
    _, labels, _, centers = cv2.connectedComponentsWithStats(bright)
    nearest = 1 + np.argmin(np.hypot(*(centers[1:] - 9).T))
    weight = np.where(labels == nearest, window - ground, 0)
    rows, columns = np.mgrid[-9:10, -9:10]
    return [x + (weight * columns).sum() / weight.sum(), y + (weight * rows).sum() / weight.sum()]


SEEDS = {
    "left rail, near": [(320, 1338), (328, 1210), (517, 1091), (890, 1070)],
    "left rail, far": [(110, 1061), (442, 1042), (874, 1234), (837, 1411)],
    "right rail, near": [(772, 1293), (764, 1272), (165, 1241), (520, 1117)],
    "right rail, far": [(522, 1065), (795, 1085), (486, 1432), None],
}


def cap(picture):
    """The centre of the largest patch of the cap's colour."""
    hue, strength, light = cv2.split(cv2.cvtColor(picture, cv2.COLOR_BGR2HSV))
    mask = ((hue > 84) & (hue < 98) & (strength > 110) & (light > 60)).astype(np.uint8)
    mask = cv2.morphologyEx(mask, cv2.MORPH_CLOSE, np.ones((15, 15), np.uint8))
    count, _, stats, centers = cv2.connectedComponentsWithStats(mask)
    if count < 2:
        return None
    largest = 1 + np.argmax(stats[1:, cv2.CC_STAT_AREA])
    return centers[largest].tolist() if stats[largest, cv2.CC_STAT_AREA] > 1500 else None


def aligned(video, still):
    """How far the video's picture is shifted against the calibrated still picture, across and down."""
    _, first = video.read()
    one = cv2.cvtColor(first, cv2.COLOR_BGR2GRAY)
    shifts = []
    for x, y in [(500, 100), (300, 300), (700, 300), (560, 1500)]:
        patch = cv2.cvtColor(still, cv2.COLOR_BGR2GRAY)[y : y + 200, x : x + 200]
        match = cv2.matchTemplate(one[y - 30 : y + 230, x - 30 : x + 230], patch, cv2.TM_CCOEFF_NORMED)
        _, best, _, (dx, dy) = cv2.minMaxLoc(match)
        if best > 0.8:
            shifts.append([dx - 30, dy - 30])
    return np.median(shifts, axis=0) if shifts else np.zeros(2)


known = list(cameras())
stills = [cv2.imread(str(demo / "calibration" / "extrinsics" / f"{one['name']}_ext.png")) for one in known]
points = []
for name, seeds in SEEDS.items():
    spots = [None if seed is None else spot(cv2.cvtColor(still, cv2.COLOR_BGR2GRAY), seed) for still, seed in zip(stills, seeds)]
    points.append({"name": name, "group": "still", "sigma_px": 1.0, "pixels": spots})
videos = [cv2.VideoCapture(str(demo / "videos" / f"{one['name']}.mp4")) for one in known]
shifts = [aligned(video, still) for video, still in zip(videos, stills)]
print("shift of each video against its still picture:", [list(map(float, shift)) for shift in shifts], file=sys.stderr)
for frame in range(10, 100, 10):
    centers = []
    for video, shift in zip(videos, shifts):
        video.set(cv2.CAP_PROP_POS_FRAMES, frame)
        ok, picture = video.read()
        center = cap(picture) if ok else None
        centers.append(None if center is None else [center[0] - shift[0], center[1] - shift[1]])
    points.append({"name": f"cap, frame {frame}", "group": "moving", "sigma_px": 6.0, "pixels": centers})


def meeting(pixels):
    """Where the rays of some pixels come nearest to each other, and how far each pixel is from its image, lens aside."""
    rows, sides, seen = [], [], []
    for camera, pixel in zip(known, pixels):
        if pixel is None:
            seen.append(None)
            continue
        turn = np.diag([1, -1, -1]) @ camera["matrix"]
        ideal = (np.array(pixel) - camera["center"]) / camera["focal_px"]
        for axis in (0, 1):
            rows.append(turn[axis] - ideal[axis] * turn[2])
            sides.append(rows[-1] @ np.array(camera["position"]))
        seen.append((turn, camera, pixel))
    place = np.linalg.lstsq(np.array(rows), np.array(sides), rcond=None)[0]
    for index, one in enumerate(seen):
        if one is not None:
            turn, camera, pixel = one
            there = turn @ (place - camera["position"])
            seen[index] = np.array(pixel) - camera["focal_px"] * there[:2] / there[2] - camera["center"]
    return seen


# The calibration misses the stills by a constant shift of each picture, as if each camera had been turned a little
# afterwards. The shifts are found from the stills alone; whether they mend the moving points is a fair question.
aims = np.zeros((len(known), 2))
stickers = [point["pixels"] for point in points if point["group"] == "still"]
for _ in range(50):
    aimed = [[None if at is None else np.array(at) - aim for at, aim in zip(pixels, aims)] for pixels in stickers]
    offs = [meeting(pixels) for pixels in aimed]
    aims += [np.mean([off[index] for off in offs if off[index] is not None], axis=0) for index in range(len(known))]
print("shift of each camera's aim, from the stills:", aims.round(1).tolist(), file=sys.stderr)
for point in list(points):
    pixels = [None if at is None else (np.array(at) - aim).tolist() for at, aim in zip(point["pixels"], aims)]
    points.append({**point, "name": point["name"] + ", aimed", "group": point["group"] + ", aimed", "pixels": pixels})
for one in known:
    one["matrix"] = one["matrix"].tolist()
json.dump({"cameras": known, "points": points}, sys.stdout, indent=1)
