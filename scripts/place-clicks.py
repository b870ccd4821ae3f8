#!/usr/bin/env python3
"""Clicks landmarks and a toe of a synthetic play in the window, as xdotool commands, from the play's truth.

    place-clicks.py landmarks TRUTH CAMERA SCREEN.png [COUNT]
    place-clicks.py toe TRUTH CAMERA SCREEN.png FRAME LINE_X [WHO]
    place-clicks.py space TRUTH CAMERA SCREEN.png X Y Z

SCREEN.png is a picture of the window while something is clicked in it: the camera's picture is found there. A landmark
is chosen by its place in the field's order (Home, then Tab), a place by the pointer, so that what is clicked is as
coarse as the screen. The toe is WHO's that is farther east, or anybody's that is nearest to the line. `toe` and `space`
print besides, on stderr, how far the true place is past the line.
"""
import json
import sys

import cv2
import numpy as np


def project(camera, place):
    seen = np.array(camera["rotation"]) @ (np.array(place, float) - np.array(camera["position"]))
    if seen[2] <= 0:
        return None
    flat = seen[:2] / seen[2]
    r2 = float(flat @ flat)
    bent = flat * (1 + camera["k1"] * r2 + camera["k2"] * r2 * r2)
    return bent * camera["focal_px"] + np.array(camera["center"])


def picture(screen):
    """Left, top, width and height of the camera's picture: where most of a row, or column, is not the card."""
    image = cv2.imread(screen).astype(int)
    card = image[image.shape[0] // 2, int(image.shape[1] * 0.415)]
    right = int(image.shape[1] * 0.425)
    other = np.abs(image[:, right:] - card).sum(axis=2) > 12
    rows = np.where(other.mean(axis=1) > 0.8)[0]
    # The longest run of rows.
    runs = np.split(rows, np.where(np.diff(rows) > 3)[0] + 1)
    run = max(runs, key=len)
    columns = np.where(other[run[0] : run[-1] + 1].mean(axis=0) > 0.8)[0]
    return right + columns[0], run[0], columns[-1] - columns[0] + 1, run[-1] - run[0] + 1


def on_screen(camera, box, pixel):
    left, top, width, height = box
    wide, high = camera["size"]
    return (
        round(left + (pixel[0] + 0.5) * width / wide - 0.5),
        round(top + (pixel[1] + 0.5) * height / high - 0.5),
    )


def inside(camera, pixel, margin):
    return all(margin < value < size - margin for value, size in zip(pixel, camera["size"]))


def offered():
    """The landmarks on the ground in the desk's order: of the book's field, then of the hall."""
    xs = [-7, 0] + list(range(5, 50, 5)) + [50, 57]
    field = [(x, y) for y in (0, 27) for x in xs]
    hall = [(x, y) for y in (9, 18) for x in range(2, 50, 5)]
    # The wall's corners stand between the two.
    return list(enumerate(field)) + list(enumerate(hall, len(field) + 4))


def landmarks(camera, box, count):
    seen = []
    for number, (x, y) in offered():
        pixel = project(camera, (x, y, 0))
        # The foot of the near wall is hidden by the wall.
        hidden = y == 0 and camera["position"][1] < 0 or y == 27 and camera["position"][1] > 27
        if pixel is not None and inside(camera, pixel, 10) and not hidden:
            seen.append((number, pixel))
    step = max(1.0, len(seen) / count)
    for number, pixel in [seen[int(index * step)] for index in range(min(count, len(seen)))]:
        x, y = on_screen(camera, box, pixel)
        print(f"key Home{' Tab' * number}; click {x} {y}")


def toe(truth, camera, box, frame, line, who):
    over, under = (int(part) for part in camera["rate"].split("/"))
    at = camera["offset_s"] + frame * under / over
    feet = [
        (player["id"], stood["toe"])
        for player in truth["players"]
        if who in (None, player["id"])
        for foot in ("left", "right")
        for stood in player[foot]
        if stood["from_s"] <= at <= stood["to_s"]
    ]
    feet = [(name, place, project(camera, (*place, 0))) for name, place in feet]
    feet = [foot for foot in feet if foot[2] is not None and inside(camera, foot[2], 10)]
    name, place, pixel = min(feet, key=lambda foot: -foot[1][0] if who else abs(foot[1][0] - line))
    print("click %d %d" % on_screen(camera, box, pixel))
    print(f"{name}: {36 * (place[0] - line):.1f} in past the line, y {place[1]:.1f}", file=sys.stderr)


def main():
    kind, truth, name, screen, *rest = sys.argv[1:]
    with open(truth) as file:
        truth = json.load(file)
    camera = next(camera for camera in truth["cameras"] if camera["name"] == name)
    box = picture(screen)
    if kind == "landmarks":
        landmarks(camera, box, int(rest[0]) if rest else 8)
    elif kind == "toe":
        toe(truth, camera, box, int(rest[0]), float(rest[1]), rest[2] if len(rest) > 2 else None)
    else:
        print("click %d %d" % on_screen(camera, box, project(camera, [float(part) for part in rest])))


main()
